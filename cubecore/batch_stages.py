"""The stages of many rows at once, by NumPy; as `stages` finds those of one.

Names as in `batch`: ``n`` rows, ``T`` turns, each of the 20 pieces followed by one of its stickers.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from cubecore.batch_times import Bytes, Flags
from cubecore.cases import SOLVED_KEY, TO_UP
from cubecore.cube import N_STICKERS, PIECES, TURN_TABLES
from cubecore.stages import (
    EDGES,
    FOLLOWED,
    MAX_PAIRS_WITH_CROSS,
    MAX_PAIRS_WITH_CROSS_BEFORE_ALL,
    MIN_PAIRS_BEFORE_ALL,
    MIN_PAIRS_BEFORE_F2L,
    SLOTS,
    home_in_aufs,
)
from cubecore.turns import Face, make_turn

Numbers = NDArray[np.int64]
PieceSets = NDArray[np.uint32]  # bit p stands for piece p

HOME = np.array(FOLLOWED, np.uint8)[:, None]
"""Where the followed sticker of each piece lies in the solved cube."""
_NEVER = 1 << 15  # no solve has as many turns


def _bits(pieces: Sequence[int]) -> int:
    return sum(1 << piece for piece in pieces)


_ALL_PIECES = np.uint32((1 << len(PIECES)) - 1)
_CROSS = np.array([_bits(edges) for edges in EDGES], np.uint32)
_ALL_EDGES = np.bitwise_or.reduce(_CROSS)
_SLOT = np.array([[_bits(slot) for slot in slots] for slots in SLOTS], np.uint32) | _CROSS[:, None]
_F2L = np.bitwise_or.reduce(_SLOT, axis=1)
_IS_OF_F2L = np.array([[bool(f2l >> p & 1) for p in range(len(PIECES))] for f2l in _F2L.tolist()])


class StagesOfRows(NamedTuple):
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


def pieces_away(places: Bytes, hidden: Flags) -> PieceSets:
    """The pieces that are not home, in each position: (n, T + 1)."""
    bit = (1 << np.arange(len(PIECES))).astype(np.float32)  # sums below 2 ** 24 are exact in it
    is_away = (places != HOME).view(np.uint8)
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


def stages_of_rows(places: Bytes, away: PieceSets, hidden: Flags) -> StagesOfRows:
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
    first_turn, second_turn, third_turn, all_four = pair_turns.T
    is_all_solved = _is_all_solved(places, row, cross, f2l_turn)
    has_pairs = _has_pairs(cross_turn, pair_turns, is_all_solved)
    # By row; then as `stages._choose` has it; then the least face, as `np.lexsort` keeps the order.
    first = np.lexsort((all_four, ~has_pairs, row))
    first = first[np.unique(row[first], return_index=True)[1]]
    at_once = np.zeros(len(away), np.bool_)
    at_once[row[first]] = is_all_solved[first]
    is_tied = at_once[row]
    order = np.lexsort(
        (
            *(third_turn, second_turn, first_turn, all_four),
            np.where(is_tied, cross_turn, 0),
            np.where(is_tied, 0, all_four),
            *(~has_pairs, row),
        )
    )
    best = order[np.unique(row[order], return_index=True)[1]]
    counts, all_four = counts[best], all_four[best]
    home = counts == 4
    _add_middles_of_aufs(home, places, row[best], cross[best], hidden)
    return StagesOfRows(
        row=row[best],
        cross=cross[best],
        cross_turn=cross_turn[best],
        pair_turns=pair_turns[best],
        three_turn=_last((counts >= 3) & (np.arange(counts.shape[1]) < all_four[:, None])),
        is_built=has_pairs[best]
        & ((all_four == 0) | ~_is_kind_first(away[row[best]], pair_turns[best])),
        home=home,
    )


def _is_kind_first(away: PieceSets, pair_turns: Numbers) -> Flags:
    """As `stages._is_kind_first`."""
    _, second, third, _ = pair_turns.T
    edges = _first(away & _ALL_EDGES == 0)
    corners = _first(away & (_ALL_PIECES & ~_ALL_EDGES) == 0)
    is_first: Flags = (corners <= second) | (edges <= second) | (edges < third)
    return is_first


def _add_middles_of_aufs(
    home: Flags, places: Bytes, row: Numbers, cross: Numbers, hidden: Flags
) -> None:
    """Set in ``home`` what `stages.home_in_aufs` adds."""
    between = hidden[row, 1:-1] & home[:, :-2]
    for entry in np.flatnonzero(between.any(axis=1)).tolist():
        is_away = (places[:, :, row[entry]] != HOME[:, 0]) & _IS_OF_F2L[cross[entry]]
        raw = ~is_away.any(axis=1)
        middles = np.flatnonzero(hidden[row[entry]]).tolist()
        whole = home_in_aufs(home[entry].tobytes(), middles, raw.tolist().__getitem__)
        home[entry] = np.frombuffer(whole, np.bool_)


def _is_all_solved(places: Bytes, row: Numbers, cross: Numbers, f2l_turn: Numbers) -> Flags:
    """As `stages._is_all_solved`, of each row and cross."""
    turn = f2l_turn[cross, row]
    keys = last_layer_keys(places, row, turn, cross)
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
    n_with_cross = np.where(is_all_solved, MAX_PAIRS_WITH_CROSS_BEFORE_ALL, MAX_PAIRS_WITH_CROSS)
    rows = np.arange(len(pair_turns))
    has_pairs: Flags = pair_turns[rows, n_pairs - 1] < f2l_turn
    has_pairs &= (cross_turn <= 1) | (cross_turn < pair_turns[rows, n_with_cross])
    has_pairs |= f2l_turn == 0
    return has_pairs


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


def last_layer_keys(places: Bytes, row: Numbers, turn: Numbers, cross: Numbers) -> Bytes:
    """The key of the last layer of ``row`` after ``turn`` turns, F2L being home: (rows, 8)."""
    lies = places[turn[:, None], _KEY_PIECE[cross], row[:, None]]
    return _KEY_BYTE[cross[:, None], np.arange(8), lies]
