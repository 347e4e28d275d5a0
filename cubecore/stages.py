"""When the cross, the pairs and the first two layers come home, for any cross colour.

Positions are followed over time all at once: for each piece one integer whose byte ``t`` is 0 where
the piece is home after ``t`` turns. Whole stages are then a handful of ``|``.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from cubecore.cube import N_STICKERS, PIECES, SOLVED_UP_TO_AUF, Places
from cubecore.turns import Face

_PIECE_INDEX = {faces: index for index, faces in enumerate(PIECES)}
FOLLOWED = tuple(stickers[0] for stickers in PIECES.values())  # one of each piece tells its place
_AT_LEAST = tuple(bytes(count >= k for count in range(256)) for k in range(5))
_IS_ZERO = bytes(value == 0 for value in range(256))


def _edges_of(cross: Face) -> tuple[int, ...]:
    """The indices of a cross's four edges."""
    return tuple(i for faces, i in _PIECE_INDEX.items() if cross in faces and len(faces) == 2)


def _slots_of(cross: Face) -> tuple[tuple[int, int], ...]:
    """The four slots, each as the indices of its corner and its edge."""
    return tuple(
        (i, _PIECE_INDEX[faces - {cross}])
        for faces, i in _PIECE_INDEX.items()
        if cross in faces and len(faces) == 3
    )


_CROSSES = tuple(Face)
EDGES = tuple(_edges_of(cross) for cross in Face)
SLOTS = tuple(_slots_of(cross) for cross in Face)


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


def _pieces_away(positions: Sequence[Places]) -> list[int]:
    """For each piece: byte ``t`` is 0 where it is home after ``t`` turns."""
    joined = b"".join(positions)
    return [
        int.from_bytes(joined[places], "little") ^ home
        for places, home in _places_and_homes(len(positions))
    ]


@lru_cache(maxsize=1_000)
def _places_and_homes(n: int) -> tuple[tuple[slice, int], ...]:
    """For each piece: its places among ``n`` joined positions, and its home ``n`` times over."""
    return tuple(
        (slice(sticker, None, N_STICKERS), int.from_bytes(bytes([sticker]) * n, "little"))
        for sticker in FOLLOWED
    )


def _f2l_away(away: list[int], cross_away: int, cross: Face) -> int:
    for corner, edge in SLOTS[cross]:
        cross_away |= away[corner] | away[edge]
    return cross_away


def _first_home(flags: int, n: int) -> int:
    """The first byte of ``n`` that is 0; -1 when none is."""
    return flags.to_bytes(n, "little").find(0)


def find_milestones(positions: Sequence[Places], hidden: Sequence[int] = ()) -> Milestones | None:
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
    n = len(positions)
    away = _pieces_away(positions)
    for index in hidden:
        away = [flags | 0xFF << 8 * index for flags in away]
    crosses = [away[a] | away[b] | away[c] | away[d] for a, b, c, d in EDGES]
    first, asked = n, []
    for cross, cross_away in zip(_CROSSES, crosses, strict=True):
        if not 0 <= cross_away.to_bytes(n, "little").find(0) <= first:
            continue  # F2L cannot be home before its cross is.
        f2l_turn = _first_home(_f2l_away(away, cross_away, cross), n)
        if 0 <= f2l_turn < first:
            first, asked = f2l_turn, [cross]
        elif f2l_turn == first:
            asked.append(cross)
    if not asked:
        return None
    if first and positions[first] in SOLVED_UP_TO_AUF[asked[0].opposite]:
        asked = [c for c in _CROSSES if _first_home(_f2l_away(away, crosses[c], c), n) >= 0]
    found = [_milestones(away, crosses[cross], cross, n) for cross in asked]
    return found[0] if len(found) == 1 else min(found, key=_order)


def _order(found: Milestones) -> tuple[bool, int, int, tuple[int, ...]]:
    """Sort key: which of several cross colours the solver was working on."""
    return pairs_before_f2l(found) < 3, found.cross_turn, found.f2l_turn, found.pair_turns


def _milestones(away: list[int], cross_away: int, cross: Face, n: int) -> Milestones:
    count = 0
    for corner, edge in SLOTS[cross]:
        slot_away = (cross_away | away[corner] | away[edge]).to_bytes(n, "little")
        count += int.from_bytes(slot_away.translate(_IS_ZERO), "little")
    counts = count.to_bytes(n, "little")
    one, two, three = (counts.translate(_AT_LEAST[k]).find(1) for k in (1, 2, 3))
    home = counts.translate(_AT_LEAST[4])
    f2l_turn = home.find(1)
    return Milestones(
        cross=cross,
        cross_turn=_first_home(cross_away, n),
        pair_turns=(one, two, three, f2l_turn),
        f2l_turn=f2l_turn,
        home=home,
    )


def pairs_before_f2l(found: Milestones) -> int:
    """How many slots had come home, with the cross, before the turn that completed F2L."""
    return sum(turn < found.f2l_turn for turn in found.pair_turns)
