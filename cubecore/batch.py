"""Replays of many rows at once, by NumPy: the same as `replay.replay_turns` gives, row for row.

With `batch_stages` and `batch_times` the only module of the engine that needs more than the standard
library. Rows of about one length are turned together; the stages up to F2L, and the stretches that
leave F2L, are found for all of them at once. What was done to the last layer in those stretches is
then read row by row, by the code that a single row is read with. The few rows that do not end
solved are replayed one by one.

In what follows ``n`` is the number of rows and ``T`` the turns of the longest; shorter rows go on
with turns that turn nothing. Each of the 20 pieces, in the order of `cube.PIECES`, is followed by
one of its stickers.
"""

from collections.abc import Iterator, Sequence
from itertools import islice, repeat

import numpy as np
from numpy.typing import NDArray

from cubecore.batch_stages import (
    HOME,
    StagesOfRows,
    last_layer_keys,
    pieces_away,
    stages_of_rows,
)
from cubecore.batch_times import Bytes, Flags, chunk_times, hidden_flags, read_row
from cubecore.book import Book
from cubecore.cases import LastLayer, LastLayerKey, label_key
from cubecore.compact import MID_SLICE, CompactRow, MarkedTurns, unpack
from cubecore.cube import N_STICKERS, TURN_TABLES
from cubecore.endings import STATUS_OF_PENALTY
from cubecore.errors import CubeError
from cubecore.looks import Excursion
from cubecore.replay import AfterF2L, finish_replay, replay_turns, restore_counts
from cubecore.results import Replay
from cubecore.rows import Penalty
from cubecore.stages import Milestones
from cubecore.turns import N_TURNS, NO_TURNS, Face, Turns

CHUNK = 500
"""Rows turned together: many for one call of NumPy, few enough for the processor's cache."""
_FACES = tuple(Face)
_STILL = N_TURNS  # the turn that turns nothing


def replay_batch(rows: Sequence[CompactRow], book: Book) -> list[Replay | CubeError]:
    """The replay of each of ``rows``, or what `replay.replay_turns` raises for it."""
    results = [_replay_alone(row, book) if row.solution is None else None for row in rows]
    turned = [read_row(n, row) for n, row in enumerate(rows) if row.solution is not None]
    turned.sort(key=lambda read: len(read.row.solution or b""))
    for start in range(0, len(turned), CHUNK):
        chunk = turned[start : start + CHUNK]
        replays = _replay_chunk([read.row for read in chunk], book)
        for read, result in zip(chunk, replays, strict=True):
            row = rows[read.at]
            if result is None:
                results[read.at] = _replay_alone(row, book)
            elif read.counts is None:
                results[read.at] = result
            else:
                results[read.at] = restore_counts(result, unpack(row), read.counts)
    return [result for result in results if result is not None]


def _replay_alone(row: CompactRow, book: Book) -> Replay | CubeError:
    try:
        return replay_turns(unpack(row), book)
    except CubeError as error:
        return error


# --- Turning -------------------------------------------------------------------------------------

_MOVES = np.array([*(table[:N_STICKERS] for table in map(list, TURN_TABLES)), [*range(N_STICKERS)]])
_MOVES = _MOVES.astype(np.uint8).ravel()  # place after turn at N_STICKERS * turn + place before


def _padded(runs: Sequence[Turns | MarkedTurns]) -> tuple[Bytes, Flags]:
    """The bytes of each run as a row, ``_STILL`` behind the shorter; and which are the run's."""
    lengths = np.array([len(run) for run in runs])
    is_turn = np.arange(lengths.max(initial=0)) < lengths[:, None]
    turns = np.full(is_turn.shape, _STILL, np.uint8)
    turns[is_turn] = np.frombuffer(b"".join(runs), np.uint8)
    return turns, is_turn


def _steps(turns: Bytes) -> Iterator[NDArray[np.uint16]]:
    """For each turn, where in ``_MOVES`` it begins for each row."""
    return iter(turns.T.astype(np.uint16) * np.uint16(N_STICKERS))


def _scrambled(scrambles: Sequence[Turns]) -> Bytes:
    """Where each piece lies after the scramble: (20, n)."""
    places = np.repeat(HOME, len(scrambles), axis=1)
    for step in _steps(_padded(scrambles)[0]):
        places = _MOVES.take(step + places)
    return places


def _walk(start: Bytes, turns: Bytes) -> Bytes:
    """Where each piece lies after each turn: (T + 1, 20, n)."""
    places = np.empty((turns.shape[1] + 1, *start.shape), np.uint8)
    places[0] = start
    for n, step in enumerate(_steps(turns)):
        places[n + 1] = _MOVES.take(step + places[n])
    return places


# --- The last layer ------------------------------------------------------------------------------


def _find_excursions(places: Bytes, stages: StagesOfRows) -> Iterator[list[Excursion]]:
    """As `looks.find_excursions`, for one row of `StagesOfRows` after the other."""
    home, f2l_turn = stages.home, stages.pair_turns[:, 3]
    is_change = home[:, 1:] != home[:, :-1]
    is_change &= np.arange(1, home.shape[1]) > f2l_turn[:, None]
    entry, turn = np.nonzero(is_change)  # leaving and coming back by turns
    n_changes = np.bincount(entry, minlength=len(home))
    never_back = n_changes.cumsum()[n_changes % 2 == 1] - 1
    entry, turn = np.delete(entry, never_back), np.delete(turn, never_back)
    entry, start, end = entry[::2], turn[::2], turn[1::2] + 1
    row, cross = stages.row[entry], stages.cross[entry]
    excursions = map(
        Excursion,
        start.tolist(),
        end.tolist(),
        _labels(last_layer_keys(places, row, start, cross)),
        _labels(last_layer_keys(places, row, end, cross)),
    )
    for n in (n_changes // 2).tolist():
        yield list(islice(excursions, n))


def _labels(keys: Bytes) -> Iterator[LastLayer]:
    """The label of each key."""
    joined = keys.tobytes()
    return (
        label_key(LastLayerKey(joined[begin : begin + 8])) for begin in range(0, len(joined), 8)
    )


# --- All together --------------------------------------------------------------------------------


def _replay_chunk(rows: Sequence[CompactRow], book: Book) -> list[Replay | None]:
    """The replays of rows that have a solution; None of those that do not end solved."""
    marked, is_turn = _padded([row.solution or NO_TURNS for row in rows])
    turns = marked & np.uint8(0xFF - MID_SLICE)
    times = chunk_times(rows, is_turn)
    places = _walk(_scrambled([row.scramble for row in rows]), turns)
    hidden = hidden_flags(marked, turns, is_turn, times)
    stages = stages_of_rows(places, pieces_away(places, hidden), hidden)
    is_mixed, is_solved = ((places[n] == HOME).all(axis=0) == (n < 0) for n in (0, -1))
    is_dnf = np.array([row.penalty is Penalty.DNF for row in rows])
    ended = (is_mixed & (is_solved | is_dnf)).tolist()
    joined, width = turns.tobytes(), turns.shape[1]
    results: list[Replay | None] = []
    for n, (row, after) in enumerate(zip(rows, _after_f2l(places, stages), strict=True)):
        if not ended[n]:
            results.append(None)
            continue
        n_turns = len(row.solution or b"")
        replay = finish_replay(
            status=STATUS_OF_PENALTY[row.penalty],
            turns=Turns(joined[n * width : n * width + n_turns]),
            times=times.of_rows[n],
            after=after,
            book=book,
        )
        results.append(replay)
    return results


def _after_f2l(places: Bytes, stages: StagesOfRows) -> Iterator[AfterF2L | None]:
    """What there is to read of the last layer of one row after the other; None without F2L."""
    cross_faces = [_FACES[cross] for cross in stages.cross.tolist()]
    columns = zip(
        stages.row.tolist(),
        cross_faces,
        stages.cross_turn.tolist(),
        stages.pair_turns.tolist(),
        stages.three_turn.tolist(),
        stages.is_built.tolist(),
        stages.home,
        _labels(last_layer_keys(places, stages.row, stages.pair_turns[:, 3], stages.cross)),
        _find_excursions(places, stages),
        strict=True,
    )
    n = 0
    for row, cross, cross_turn, turns, three_turn, is_built, home, shown, excursions in columns:
        yield from repeat(None, row - n)
        milestones = Milestones(
            cross=cross,
            cross_turn=cross_turn,
            pair_turns=tuple(turns),
            f2l_turn=turns[3],
            three_turn=three_turn,
            is_built=is_built,
            home=home.tobytes(),
        )
        yield AfterF2L(milestones, shown, excursions)
        n = row + 1
    yield from repeat(None, places.shape[2] - n)
