"""Replays of many rows at once, by NumPy: the same as `replay.replay_turns` gives, row for row.

With `batch_times` the only module of the engine that needs more than the standard library. Rows of about one length
are turned together; the stages up to F2L, and the stretches that leave F2L, are found for all of
them at once. What was done to the last layer in those stretches is then read row by row, by the
code that a single row is read with. The few rows that do not end solved are replayed one by one.

In what follows ``n`` is the number of rows and ``T`` the turns of the longest; shorter rows go on
with turns that turn nothing. Each of the 20 pieces, in the order of `cube.PIECES`, is followed by
one of its stickers.
"""

from collections.abc import Iterator, Sequence
from itertools import islice, repeat
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from cubecore.batch_times import Bytes, Flags, chunk_times, hidden_flags, read_row
from cubecore.book import Book
from cubecore.cases import SOLVED_KEY, TO_UP, LastLayer, LastLayerKey, label_key
from cubecore.compact import MID_SLICE, CompactRow, MarkedTurns, unpack
from cubecore.cube import N_STICKERS, PIECES, TURN_TABLES
from cubecore.endings import STATUS_OF_PENALTY
from cubecore.errors import CubeError
from cubecore.looks import Excursion
from cubecore.replay import AfterF2L, Replay, finish_replay, replay_turns, restore_counts
from cubecore.rows import Penalty
from cubecore.stages import (
    EDGES,
    FOLLOWED,
    MAX_PAIRS_WITH_CROSS,
    MIN_PAIRS_BEFORE_ALL,
    MIN_PAIRS_BEFORE_F2L,
    SLOTS,
    Milestones,
    home_in_aufs,
)
from cubecore.turns import N_TURNS, NO_TURNS, Face, Turns, make_turn

Numbers = NDArray[np.int64]
PieceSets = NDArray[np.uint32]  # bit p stands for piece p

CHUNK = 500
"""Rows turned together: many for one call of NumPy, few enough for the processor's cache."""
_FACES = tuple(Face)
_STILL = N_TURNS  # the turn that turns nothing
_NEVER = 1 << 15  # no solve has as many turns


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

_HOME = np.array(FOLLOWED, np.uint8)[:, None]
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
    places = np.repeat(_HOME, len(scrambles), axis=1)
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


# --- Stages --------------------------------------------------------------------------------------


def _bits(pieces: Sequence[int]) -> int:
    return sum(1 << piece for piece in pieces)


_ALL_PIECES = np.uint32((1 << len(PIECES)) - 1)
_CROSS = np.array([_bits(edges) for edges in EDGES], np.uint32)
_ALL_EDGES = np.bitwise_or.reduce(_CROSS)
_SLOT = np.array([[_bits(slot) for slot in slots] for slots in SLOTS], np.uint32) | _CROSS[:, None]
_F2L = np.bitwise_or.reduce(_SLOT, axis=1)
_IS_OF_F2L = np.array([[bool(f2l >> p & 1) for p in range(len(PIECES))] for f2l in _F2L.tolist()])


class _Found(NamedTuple):
    """The milestones of the rows whose F2L came home, one entry for each.

    Attributes:
        row: Which row it is.
        cross: The face of its cross.
        cross_turn: As in `stages.Milestones`.
        pair_turns: The same, (rows, 4); the last of them is when F2L was home.
        three_turn: As in `stages.Milestones`.
        is_built: The same.
        home: Where F2L is home: (rows, T + 1).
    """

    row: Numbers
    cross: Numbers
    cross_turn: Numbers
    pair_turns: Numbers
    three_turn: Numbers
    is_built: Flags
    home: Flags


def _away(places: Bytes, hidden: Flags) -> PieceSets:
    """The pieces that are not home, in each position: (n, T + 1)."""
    bit = (1 << np.arange(len(PIECES))).astype(np.float32)  # sums below 2 ** 24 are exact in it
    is_away = (places != _HOME).view(np.uint8)
    away: PieceSets = np.einsum("tpn,p->nt", is_away, bit).astype(np.uint32)
    away[hidden] = _ALL_PIECES
    return away


def _first(flags: Flags) -> Numbers:
    """The first that is set in each row, ``_NEVER`` where none is."""
    first = flags.argmax(axis=1)
    return np.where(flags[np.arange(len(flags)), first], first, _NEVER)


def _last(flags: Flags) -> Numbers:
    """The last that is set in each row, -1 where none is."""
    back = flags[:, ::-1].argmax(axis=1)
    last = flags.shape[1] - 1 - back
    return np.where(flags[np.arange(len(flags)), last], last, -1)


def _find_milestones(places: Bytes, away: PieceSets, hidden: Flags) -> _Found:
    """As `stages.find_milestones`, for every row."""
    f2l_turn = np.array([_first(away & f2l == 0) for f2l in _F2L])
    is_home = f2l_turn < _NEVER
    is_asked = (f2l_turn == f2l_turn.min(axis=0)) & is_home
    cross, row = np.nonzero(is_asked)
    counts = _pair_counts(away, row, cross)
    cross_turn = _cross_turns(away, row, cross)
    is_alone = is_asked.sum(axis=0) == 1
    at_once = _is_all_solved(places, row, cross, f2l_turn)
    is_clear = ~at_once & _has_pairs(cross_turn, _pair_turns(counts), at_once)
    others: Flags = f2l_turn.min(axis=0) < _NEVER
    others[row[is_clear & is_alone[row]]] = False
    is_asked[:, others] = is_home[:, others]
    if others.any():
        cross, row = np.nonzero(is_asked)
        counts = _pair_counts(away, row, cross)
        cross_turn = _cross_turns(away, row, cross)
    pair_turns = _pair_turns(counts)
    one, two, three, all_four = pair_turns.T
    is_all_solved = _is_all_solved(places, row, cross, f2l_turn)
    has_pairs = _has_pairs(cross_turn, pair_turns, is_all_solved)
    n_before = (pair_turns < all_four[:, None]).sum(axis=1)
    # By row; then as `stages._choose` has it; then the least face, as `np.lexsort` keeps the order.
    first = np.lexsort((all_four, ~has_pairs, row))
    first = first[np.unique(row[first], return_index=True)[1]]
    at_once = np.zeros(len(away), np.bool_)
    at_once[row[first]] = is_all_solved[first]
    is_tied = at_once[row]
    order = np.lexsort(
        (
            *(three, two, one, all_four),
            np.where(is_tied, cross_turn, 0),
            np.where(is_tied, -n_before, all_four),
            *(~has_pairs, row),
        )
    )
    best = order[np.unique(row[order], return_index=True)[1]]
    counts, all_four = counts[best], all_four[best]
    home = counts == 4
    _add_middles_of_aufs(home, places, row[best], cross[best], hidden)
    return _Found(
        row=row[best],
        cross=cross[best],
        cross_turn=cross_turn[best],
        pair_turns=pair_turns[best],
        three_turn=_last((counts >= 3) & (np.arange(counts.shape[1]) < all_four[:, None])),
        is_built=has_pairs[best]
        & ((all_four == 0) | ~_is_kind_first(_kind_turn(away)[row[best]], pair_turns[best])),
        home=home,
    )


def _is_kind_first(kind_turn: Numbers, pair_turns: Numbers) -> Flags:
    """As `stages._is_kind_first`."""
    is_first: Flags = (kind_turn <= pair_turns[:, 1]) | (kind_turn < pair_turns[:, 2])
    return is_first


def _kind_turn(away: PieceSets) -> Numbers:
    """When all edges, or all corners, were first home, in each row."""
    kinds = (_ALL_EDGES, _ALL_PIECES & ~_ALL_EDGES)
    return np.minimum(*(_first(away & kind == 0) for kind in kinds))


def _add_middles_of_aufs(
    home: Flags, places: Bytes, row: Numbers, cross: Numbers, hidden: Flags
) -> None:
    """Set in ``home`` what `stages.home_in_aufs` adds."""
    between = hidden[row, 1:-1] & home[:, :-2]
    for entry in np.flatnonzero(between.any(axis=1)).tolist():
        is_away = (places[:, :, row[entry]] != _HOME[:, 0]) & _IS_OF_F2L[cross[entry]]
        raw = ~is_away.any(axis=1)
        middles = np.flatnonzero(hidden[row[entry]]).tolist()
        whole = home_in_aufs(home[entry].tobytes(), raw.tobytes(), middles)
        home[entry] = np.frombuffer(whole, np.bool_)


def _is_all_solved(places: Bytes, row: Numbers, cross: Numbers, f2l_turn: Numbers) -> Flags:
    """As `stages._is_all_solved`, of each row and cross."""
    turn = f2l_turn[cross, row]
    keys = _keys(places, row, turn, cross)
    is_solved: Flags = (keys[:, None] == _AUF_KEYS).all(axis=2).any(axis=1) & (turn > 0)
    return is_solved


def _cross_turns(away: PieceSets, row: Numbers, cross: Numbers) -> Numbers:
    """When each ``cross`` was home in its ``row``."""
    return _first(away[row] & _CROSS[cross][:, None] == 0)


def _pair_counts(away: PieceSets, row: Numbers, cross: Numbers) -> Bytes:
    """How many pairs of each ``cross`` stand in its ``row``, after each turn: (rows, T + 1)."""
    of_cross = away[row]
    counts = np.zeros(of_cross.shape, np.uint8)
    for slot in range(4):
        counts += of_cross & _SLOT[cross, slot][:, None] == 0
    return counts


def _pair_turns(counts: Bytes) -> Numbers:
    """When 1 to 4 pairs were home: (rows, 4)."""
    return np.array([_first(counts >= k) for k in (1, 2, 3, 4)]).T


def _has_pairs(cross_turn: Numbers, pair_turns: Numbers, is_all_solved: Flags) -> Flags:
    """As `stages._has_pairs`."""
    f2l_turn = pair_turns[:, 3]
    n_pairs = np.where(is_all_solved, MIN_PAIRS_BEFORE_ALL, MIN_PAIRS_BEFORE_F2L)
    has_pairs: Flags = pair_turns[np.arange(len(pair_turns)), n_pairs - 1] < f2l_turn
    has_pairs &= (cross_turn <= 1) | (cross_turn < pair_turns[:, MAX_PAIRS_WITH_CROSS])
    has_pairs |= f2l_turn == 0
    return has_pairs


# --- The last layer ------------------------------------------------------------------------------


def _places_of(sticker: int, followed: int) -> list[int]:
    """Where ``sticker`` lies, for each place of the ``followed`` one of its piece; else 0."""
    places = [0] * N_STICKERS
    reached = [(followed, sticker)]
    for here, there in reached:
        places[here] = there
        for table in TURN_TABLES:
            if (after := (table[here], table[there])) not in reached:
                reached.append(after)
    return places


def _key_tables() -> tuple[NDArray[np.intp], Bytes]:
    """For each cross and each sticker of its last layer's key: its piece, and the key's byte.

    The byte is what `cases.last_layer_key` has there, for each place of the piece's sticker that is
    followed: (6, 8, 48).
    """
    pieces, byte = [], []
    for cross in Face:
        last = cross.opposite
        for sticker in range(8 * last, 8 * last + 8):
            piece = next(i for i, stickers in enumerate(PIECES.values()) if sticker in stickers)
            places = _places_of(sticker, FOLLOWED[piece])
            pieces.append(piece)
            byte.append([TO_UP[last][place] for place in places])
    return np.array(pieces).reshape(6, 8), np.array(byte, np.uint8).reshape(6, 8, N_STICKERS)


_KEY_PIECE, _KEY_BYTE = _key_tables()
_AUF_KEYS = np.array(
    [
        list(SOLVED_KEY),
        *(list(SOLVED_KEY.translate(TURN_TABLES[make_turn(Face.U, q)])) for q in (1, 2, 3)),
    ],
    np.uint8,
)


def _keys(places: Bytes, row: Numbers, turn: Numbers, cross: Numbers) -> Bytes:
    """The key of the last layer of ``row`` after ``turn`` turns, F2L being home: (rows, 8)."""
    lies = places[turn[:, None], _KEY_PIECE[cross], row[:, None]]
    return _KEY_BYTE[cross[:, None], np.arange(8), lies]


def _find_excursions(places: Bytes, found: _Found) -> Iterator[list[Excursion]]:
    """As `looks.find_excursions`, for one row that was found after the other."""
    home, f2l_turn = found.home, found.pair_turns[:, 3]
    is_change = home[:, 1:] != home[:, :-1]
    is_change &= np.arange(1, home.shape[1]) > f2l_turn[:, None]
    entry, turn = np.nonzero(is_change)  # leaving and coming back by turns
    n_changes = np.bincount(entry, minlength=len(home))
    never_back = n_changes.cumsum()[n_changes % 2 == 1] - 1
    entry, turn = np.delete(entry, never_back), np.delete(turn, never_back)
    entry, start, end = entry[::2], turn[::2], turn[1::2] + 1
    row, cross = found.row[entry], found.cross[entry]
    made = map(
        Excursion,
        start.tolist(),
        end.tolist(),
        _labels(_keys(places, row, start, cross)),
        _labels(_keys(places, row, end, cross)),
    )
    for n in (n_changes // 2).tolist():
        yield list(islice(made, n))


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
    found = _find_milestones(places, _away(places, hidden), hidden)
    is_mixed, is_solved = ((places[n] == _HOME).all(axis=0) == (n < 0) for n in (0, -1))
    is_dnf = np.array([row.penalty is Penalty.DNF for row in rows])
    ended = (is_mixed & (is_solved | is_dnf)).tolist()
    joined, width = turns.tobytes(), turns.shape[1]
    results: list[Replay | None] = []
    for n, (row, after) in enumerate(zip(rows, _after_f2l(places, found), strict=True)):
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


def _after_f2l(places: Bytes, found: _Found) -> Iterator[AfterF2L | None]:
    """What there is to read of the last layer of one row after the other; None without F2L."""
    cross_faces = [_FACES[cross] for cross in found.cross.tolist()]
    columns = zip(
        found.row.tolist(),
        cross_faces,
        found.cross_turn.tolist(),
        found.pair_turns.tolist(),
        found.three_turn.tolist(),
        found.is_built.tolist(),
        found.home,
        _labels(_keys(places, found.row, found.pair_turns[:, 3], found.cross)),
        _find_excursions(places, found),
        strict=True,
    )
    n = 0
    for row, cross, cross_turn, turns, three_turn, is_built, home, shown, excursions in columns:
        yield from repeat(None, row - n)
        found_here = Milestones(
            cross=cross,
            cross_turn=cross_turn,
            pair_turns=tuple(turns),
            f2l_turn=turns[3],
            three_turn=three_turn,
            is_built=is_built,
            home=home.tobytes(),
        )
        yield AfterF2L(found_here, shown, excursions)
        n = row + 1
    yield from repeat(None, places.shape[2] - n)
