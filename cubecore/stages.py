"""When the cross, the pairs and the first two layers come home, for any cross colour.

Positions are followed over time all at once: for each piece one integer whose byte ``t`` is 1 where
the piece is home after ``t`` turns. Whole stages are then a handful of ``&``.
"""

from collections.abc import Sequence
from typing import NamedTuple

from cubecore.cube import N_STICKERS, PIECES, SOLVED, TURN_TABLES
from cubecore.turns import Face, make_turn

_FIRST_STICKERS = tuple(stickers[0] for stickers in PIECES.values())
_IS_HOME = tuple(bytes(place == s for place in range(256)) for s in _FIRST_STICKERS)
_PIECE_INDEX = {faces: index for index, faces in enumerate(PIECES)}
_AT_LEAST = tuple(bytes(count >= k for count in range(256)) for k in range(5))


def _edges_of(cross: Face) -> tuple[int, ...]:
    return tuple(i for faces, i in _PIECE_INDEX.items() if cross in faces and len(faces) == 2)


def _slots_of(cross: Face) -> tuple[tuple[int, int], ...]:
    """The four slots, each as the indices of its corner and its edge."""
    return tuple(
        (i, _PIECE_INDEX[faces - {cross}])
        for faces, i in _PIECE_INDEX.items()
        if cross in faces and len(faces) == 3
    )


_EDGES = tuple(_edges_of(cross) for cross in Face)
_SLOTS = tuple(_slots_of(cross) for cross in Face)


class Milestones(NamedTuple):
    """The first turns after which the stages up to F2L are reached, for one cross colour.

    Attributes:
        cross: The face whose layer and the one above come home first.
        cross_turn: How many turns had been made when its four edges were first home.
        pair_turns: The same for the cross with at least 1, 2, 3, 4 slots home.
        f2l_turn: The same for all of it; equals ``pair_turns[3]``.
        home: Byte ``t`` is 1 where F2L is home after ``t`` turns.
    """

    cross: Face
    cross_turn: int
    pair_turns: tuple[int, int, int, int]
    f2l_turn: int
    home: bytes

    @property
    def last(self) -> Face:
        """The last layer's face."""
        return self.cross.opposite


def _first(flags: int) -> int:
    """Index of the first byte that is 1; ``flags`` is not 0."""
    return ((flags & -flags).bit_length() - 1) // 8


def _pieces_home(positions: Sequence[bytes], hidden: Sequence[int]) -> list[int]:
    """For each piece its home flags; the positions numbered in ``hidden`` count as not home."""
    joined = b"".join(positions)
    home = [
        int.from_bytes(joined[sticker::N_STICKERS].translate(is_home), "little")
        for sticker, is_home in zip(_FIRST_STICKERS, _IS_HOME, strict=True)
    ]
    if hidden:
        seen = (1 << 8 * len(positions)) - 1
        for index in hidden:
            seen ^= 0xFF << 8 * index
        home = [flags & seen for flags in home]
    return home


def find_milestones(positions: Sequence[bytes], hidden: Sequence[int] = ()) -> Milestones | None:
    """The stages of a solve, or None when no cross colour's F2L comes home.

    One turn before the end of any solve some cross colour's F2L is home, whatever the solver was
    doing. So where F2L first comes home with the rest of the cube solved up to AUF, every colour is
    asked that is home by the end: a last pair that solves everything is still the last pair.

    Args:
        positions: Every position from the scramble on, as `cube.walk` gives them.
        hidden: Indices of positions in the middle of a slice turn, which nobody sees.

    Returns:
        The cross colour whose F2L is home first; of several one with three pairs home before, then
        the one whose cross, whose F2L, whose pairs came first.
    """
    home = _pieces_home(positions, hidden)
    whole = {cross: flags for cross in Face if (flags := _f2l_home(home, cross))}
    if not whole:
        return None
    first = min(map(_first, whole.values()))
    asked = [cross for cross, flags in whole.items() if _first(flags) == first]
    if first and _is_solved_up_to_auf(positions[first], asked[0].opposite):
        asked = list(whole)
    found = [_milestones(home, cross, whole[cross], len(positions)) for cross in asked]
    return min(found, key=_order)


def _order(found: Milestones) -> tuple[bool, int, int, tuple[int, ...]]:
    """Sort key: which of several cross colours the solver was working on."""
    return pairs_before_f2l(found) < 3, found.cross_turn, found.f2l_turn, found.pair_turns


def _f2l_home(home: list[int], cross: Face) -> int:
    """The flags of the whole F2L of one cross colour."""
    a, b, c, d = _EDGES[cross]
    flags = home[a] & home[b] & home[c] & home[d]
    for corner, edge in _SLOTS[cross]:
        if not flags:
            break
        flags &= home[corner] & home[edge]
    return flags


def _is_solved_up_to_auf(places: bytes, last: Face) -> bool:
    return places == SOLVED or any(
        places.translate(TURN_TABLES[make_turn(last, q)]) == SOLVED for q in (1, 2, 3)
    )


def _milestones(home: list[int], cross: Face, all_home: int, n: int) -> Milestones:
    a, b, c, d = _EDGES[cross]
    cross_home = home[a] & home[b] & home[c] & home[d]
    count = 0
    for corner, edge in _SLOTS[cross]:
        count += cross_home & home[corner] & home[edge]
    counts = count.to_bytes(n, "little")
    one, two, three = (counts.translate(_AT_LEAST[k]).find(1) for k in (1, 2, 3))
    f2l_turn = _first(all_home)
    return Milestones(
        cross=cross,
        cross_turn=_first(cross_home),
        pair_turns=(one, two, three, f2l_turn),
        f2l_turn=f2l_turn,
        home=all_home.to_bytes(n, "little"),
    )


def pairs_before_f2l(found: Milestones) -> int:
    """How many slots had come home, with the cross, before the turn that completed F2L."""
    return sum(turn < found.f2l_turn for turn in found.pair_turns)
