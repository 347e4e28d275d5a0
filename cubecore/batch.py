"""Replays of many rows at once, by NumPy: the same as `replay.replay_turns` gives, row for row.

The only module of the engine that needs more than the standard library. Rows of about one length
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

from cubecore.book import Book
from cubecore.cases import SOLVED_KEY, TO_UP, LastLayer, LastLayerKey, label_key
from cubecore.compact import MID_SLICE, CompactRow, MarkedTurns, PackedNumbers, unpack
from cubecore.cube import N_STICKERS, PIECES, TURN_TABLES
from cubecore.errors import CubeError
from cubecore.looks import Excursion
from cubecore.replay import STATUS_OF_PENALTY, AfterF2L, Replay, finish_replay, replay_turns
from cubecore.rows import Penalty
from cubecore.stages import EDGES, FOLLOWED, SLOTS, Milestones
from cubecore.turn_times import HESITATION_MULTIPLE
from cubecore.turns import N_TURNS, NO_TURNS, Face, Turns, make_turn

Bytes = NDArray[np.uint8]
Flags = NDArray[np.bool_]
Numbers = NDArray[np.int64]
PieceSets = NDArray[np.uint32]  # bit p stands for piece p

CHUNK = 500
"""Rows turned together: many for one call of NumPy, few enough for the processor's cache."""
_FACES = tuple(Face)
_STILL = N_TURNS  # the turn that turns nothing
_NEVER = 1 << 15  # no solve has as many turns
_LONG = 1 << 30  # no gap has as many ms


def replay_batch(rows: Sequence[CompactRow], book: Book) -> list[Replay | CubeError]:
    """The replay of each of ``rows``, or what `replay.replay_turns` raises for it."""
    results = [_replay_alone(row, book) if row.solution is None else None for row in rows]
    turned = [index for index, row in enumerate(rows) if row.solution is not None]
    turned.sort(key=lambda index: len(rows[index].solution or b""))
    for start in range(0, len(turned), CHUNK):
        chunk = turned[start : start + CHUNK]
        replays = _replay_chunk([rows[index] for index in chunk], book)
        for index, result in zip(chunk, replays, strict=True):
            results[index] = result
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


# --- Times ---------------------------------------------------------------------------------------


class _Times(NamedTuple):
    """The times of a chunk.

    Attributes:
        gaps: The ms before each turn, 0 where there is none: (n, T).
        has_times: Which rows have times.
        ends: The end of each turn, for each row.
        hesitations: From which pause on a gap is a hesitation, for each row, or None.
    """

    gaps: NDArray[np.int32]
    has_times: Flags
    ends: list[list[int]]
    hesitations: list[float | None]


def _unpack_gaps(packed: PackedNumbers) -> NDArray[np.int32]:
    """As `compact.unpack_numbers`."""
    parts = np.frombuffer(packed, np.uint8)
    ends = np.flatnonzero(parts < 0x80)  # where the last byte of each number is
    gaps = parts[ends].astype(np.int32)
    n_before = np.diff(ends, prepend=-1) - 1  # how many bytes of it come before that
    for back in range(1, n_before.max(initial=0) + 1):
        longer = n_before >= back
        gaps[longer] = gaps[longer] << 7 | parts[ends[longer] - back] & 0x7F
    return gaps


def _times(rows: Sequence[CompactRow], is_turn: Flags) -> _Times:
    has_times = np.array([row.gaps is not None for row in rows])
    gaps = np.zeros(is_turn.shape, np.int32)
    gaps[is_turn & has_times[:, None]] = _unpack_gaps(
        PackedNumbers(b"".join([row.gaps or b"" for row in rows]))
    )
    between = np.where(gaps[:, 1:] > 0, gaps[:, 1:], np.int32(_LONG))
    between.sort(axis=1)
    n_between = (between < _LONG).sum(axis=1)
    if between.shape[1]:
        median = between[np.arange(len(rows)), np.maximum(n_between - 1, 0) // 2]
    else:
        median = np.zeros(len(rows), np.int32)
    pauses = (HESITATION_MULTIPLE * median).tolist()
    hesitations = [
        pause if n else None for n, pause in zip(n_between.tolist(), pauses, strict=True)
    ]
    return _Times(gaps, has_times, gaps.cumsum(axis=1).tolist(), hesitations)


def _hidden(marked: Bytes, turns: Bytes, is_turn: Flags, times: _Times) -> Flags:
    """Which positions are in the middle of a slice, as `turn_times.hidden_positions`: (n, T + 1)."""
    hidden = np.zeros((len(turns), turns.shape[1] + 1), np.bool_)
    hidden[:, :-1] = marked & MID_SLICE
    axis = turns // 3 % 3
    is_tied = (times.gaps[:, 1:] == 0) & (axis[:, 1:] == axis[:, :-1]) & is_turn[:, 1:]
    hidden[:, 1:-1] |= is_tied & times.has_times[:, None]
    return hidden


# --- Stages --------------------------------------------------------------------------------------


def _bits(pieces: Sequence[int]) -> int:
    return sum(1 << piece for piece in pieces)


_ALL_PIECES = np.uint32((1 << len(PIECES)) - 1)
_CROSS = np.array([_bits(edges) for edges in EDGES], np.uint32)
_SLOT = np.array([[_bits(slot) for slot in slots] for slots in SLOTS], np.uint32) | _CROSS[:, None]
_F2L = np.bitwise_or.reduce(_SLOT, axis=1)


class _Found(NamedTuple):
    """The milestones of the rows whose F2L came home, one entry for each.

    Attributes:
        row: Which row it is.
        cross: The face of its cross.
        cross_turn: As in `stages.Milestones`.
        pair_turns: The same, (rows, 4); the last of them is when F2L was home.
        home: Where F2L is home: (rows, T + 1).
    """

    row: Numbers
    cross: Numbers
    cross_turn: Numbers
    pair_turns: Numbers
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


def _find_milestones(places: Bytes, away: PieceSets) -> _Found:
    """As `stages.find_milestones`, for every row."""
    f2l_turn = np.array([_first(away & f2l == 0) for f2l in _F2L])
    first = f2l_turn.min(axis=0)
    is_asked = (f2l_turn == first) & (first < _NEVER)
    row = np.flatnonzero(is_asked.any(axis=0))
    keys = _keys(places, row, first[row], is_asked[:, row].argmax(axis=0))
    at_once = row[_is_solved_up_to_auf(keys) & (first[row] > 0)]
    is_asked[:, at_once] = f2l_turn[:, at_once] < _NEVER

    cross, row = np.nonzero(is_asked)
    of_cross = away[row]
    counts = np.zeros(of_cross.shape, np.uint8)
    for slot in range(4):
        counts += of_cross & _SLOT[cross, slot][:, None] == 0
    cross_turn = _first(of_cross & _CROSS[cross][:, None] == 0)
    pair_turns = np.array([_first(counts >= k) for k in (1, 2, 3, 4)]).T
    one, two, three, all_four = pair_turns.T
    few_pairs = three >= all_four
    # By row; then as `stages._order` has it; then the least face, as `np.lexsort` keeps the order.
    order = np.lexsort((three, two, one, all_four, cross_turn, few_pairs, row))
    best = order[np.unique(row[order], return_index=True)[1]]
    return _Found(
        row=row[best],
        cross=cross[best],
        cross_turn=cross_turn[best],
        pair_turns=pair_turns[best],
        home=counts[best] == 4,
    )


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


def _is_solved_up_to_auf(keys: Bytes) -> Flags:
    is_solved: Flags = (keys[:, None] == _AUF_KEYS).all(axis=2).any(axis=1)
    return is_solved


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


def _replay_chunk(rows: Sequence[CompactRow], book: Book) -> list[Replay | CubeError]:
    """The replays of rows that have a solution."""
    marked, is_turn = _padded([row.solution or NO_TURNS for row in rows])
    turns = marked & np.uint8(0xFF - MID_SLICE)
    times = _times(rows, is_turn)
    places = _walk(_scrambled([row.scramble for row in rows]), turns)
    found = _find_milestones(places, _away(places, _hidden(marked, turns, is_turn, times)))
    is_mixed, is_solved = ((places[n] == _HOME).all(axis=0) == (n < 0) for n in (0, -1))
    is_dnf = np.array([row.penalty is Penalty.DNF for row in rows])
    ended = (is_mixed & (is_solved | is_dnf)).tolist()
    joined, width = turns.tobytes(), turns.shape[1]
    results: list[Replay | CubeError] = []
    for n, (row, after) in enumerate(zip(rows, _after_f2l(places, found), strict=True)):
        if not ended[n]:
            results.append(_replay_alone(row, book))
            continue
        n_turns = len(row.solution or b"")
        replay = finish_replay(
            status=STATUS_OF_PENALTY[row.penalty],
            turns=Turns(joined[n * width : n * width + n_turns]),
            times=None if row.gaps is None else tuple(times.ends[n][:n_turns]),
            hesitation_ms=times.hesitations[n],
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
        found.home,
        _labels(_keys(places, found.row, found.pair_turns[:, 3], found.cross)),
        _find_excursions(places, found),
        strict=True,
    )
    n = 0
    for row, cross, cross_turn, turns, home, shown, excursions in columns:
        yield from repeat(None, row - n)
        found_here = Milestones(
            cross=cross,
            cross_turn=cross_turn,
            pair_turns=tuple(turns),
            f2l_turn=turns[3],
            home=home.tobytes(),
        )
        yield AfterF2L(found_here, shown, excursions)
        n = row + 1
    yield from repeat(None, places.shape[2] - n)
