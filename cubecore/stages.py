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
_CORNERS = tuple(index for faces, index in _PIECE_INDEX.items() if len(faces) == 3)


MIN_PAIRS_BEFORE_F2L = 2
"""So many pairs stand with the cross before the turn that brings F2L home, where a solve is built
layer by layer (a setting of ours: two pairs at once and an x-cross leave as many)."""
MIN_PAIRS_BEFORE_ALL = 3
"""So many where that turn solves the rest of the cube too: by the end of any solve the cross and two
pairs of some colour have stood (a setting of ours; in 300 solves by two blocks 31 times)."""


class Milestones(NamedTuple):
    """The first turns after which the stages up to F2L are reached, for one cross colour.

    Attributes:
        cross: The face whose layer and the one above come home first.
        cross_turn: How many turns had been made when its four edges were first home.
        pair_turns: The same for the cross with at least 1, 2, 3, 4 slots home.
        f2l_turn: The same for all of it; equals ``pair_turns[3]``.
        three_turn: How many turns had been made when three pairs last stood before F2L was home;
            -1 when they never did.
        is_built: Whether the solve was built that way: F2L home from the start, or cross and pairs
            enough before it, and neither all edges nor all corners of the cube home before the third.
        home: Byte ``t`` is 1 where F2L is home after ``t`` turns; so it is in the middle of an AUF's
            half turn.
    """

    cross: Face
    cross_turn: int
    pair_turns: tuple[int, int, int, int]
    f2l_turn: int
    three_turn: int
    is_built: bool
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


def _slots_away(away: list[int], cross_away: int, cross: Face) -> list[int]:
    """Each slot of a colour, with its cross."""
    return [cross_away | away[corner] | away[edge] for corner, edge in SLOTS[cross]]


def find_milestones(positions: Sequence[Places], hidden: Sequence[int] = ()) -> Milestones | None:
    """The stages of a solve, or None when no cross colour's F2L comes home.

    Another colour's F2L may come home by the way: one turn before the end of any solve some
    colour's does. It counts only after cross and pairs stood. Where that one comes home with
    the rest of the cube solved up to AUF, every colour of which they stood is asked: a last pair that
    solves everything is still the last pair.

    Args:
        positions: Every position from the scramble on, as `cube.walk` gives them.
        hidden: Indices of positions in the middle of a slice turn, which nobody sees.

    Returns:
        Of the cross colours with pairs enough before the one whose F2L is home first; where all is
        solved at once the one with more pairs, then the one whose cross, whose F2L, whose pairs
        came first. Where there is none, one that was not built.
    """
    n = len(positions)
    away = _pieces_away(positions)
    crosses = [away[a] | away[b] | away[c] | away[d] for a, b, c, d in EDGES]
    nowhere = 0
    if hidden:
        nowhere = sum([0xFF << 8 * index for index in hidden])
        crosses = [flags | nowhere for flags in crosses]
    first = n
    asked: list[_Asked] = []
    for cross, cross_away in zip(_CROSSES, crosses, strict=True):
        cross_turn = cross_away.to_bytes(n, "little").find(0)
        if not 0 <= cross_turn <= first:
            continue  # F2L cannot be home before its cross is.
        slots = _slots_away(away, cross_away, cross)
        f2l_away = slots[0] | slots[1] | slots[2] | slots[3]
        f2l_turn = f2l_away.to_bytes(n, "little").find(0)
        if 0 <= f2l_turn < first:
            first, asked = f2l_turn, [_Asked(cross, cross_turn, slots)]
        elif f2l_turn == first:
            asked.append(_Asked(cross, cross_turn, slots))
    if not asked:
        return None
    found = _milestones(n, asked[0])
    if len(asked) > 1 or _is_all_solved(positions, found) or not _has_pairs(positions, found):
        found = _choose(positions, _all_milestones(n, away, crosses))
    if _is_kind_first(found, away, crosses, n, nowhere) or not _has_pairs(positions, found):
        found = found._replace(is_built=False)
    if not hidden:
        return found
    a, b, c, d = EDGES[found.cross]
    slots = _slots_away(away, away[a] | away[b] | away[c] | away[d], found.cross)
    raw = (slots[0] | slots[1] | slots[2] | slots[3]).to_bytes(n, "little").translate(_IS_ZERO)
    return found._replace(home=home_in_aufs(found.home, raw, hidden))


def _is_kind_first(
    found: Milestones, away: list[int], crosses: list[int], n: int, nowhere: int
) -> bool:
    """Whether all edges, or all corners, of the cube were home by the second pair, or by the third.

    At the third pair itself a layered solve may have all edges home, the last slot's corner waiting.
    """
    if not found.f2l_turn:
        return False
    _, second, third, _ = found.pair_turns
    turn = max(second + 1, third)
    corners = nowhere
    for corner in _CORNERS:
        corners |= away[corner]
    if 0 in corners.to_bytes(n, "little")[:turn]:
        return True
    edges = crosses[0] | crosses[1] | crosses[3] | crosses[4]
    return 0 in edges.to_bytes(n, "little")[:turn]


def home_in_aufs(home: bytes, raw: bytes, hidden: Sequence[int]) -> bytes:
    """When F2L is home, in the hidden middles of an AUF too.

    Args:
        home: Byte ``t`` is 1 where F2L is seen to be home after ``t`` turns.
        raw: The same, seen or not.
        hidden: The positions that are not seen, in order.
    """
    whole = bytearray(home)
    run: list[int] = []
    for place, index in enumerate(hidden):
        run.append(index)
        if place + 1 < len(hidden) and hidden[place + 1] == index + 1:
            continue
        begin, end = run[0] - 1, index + 1
        if begin >= 0 and end < len(home) and home[begin] and home[end] and all(raw[begin:end]):
            whole[begin:end] = b"\1" * (end - begin)
        run = []
    return bytes(whole)


def _is_all_solved(positions: Sequence[Places], found: Milestones) -> bool:
    """Whether F2L comes home, by a turn, with the rest of the cube solved up to AUF."""
    turn = found.f2l_turn
    return turn > 0 and positions[turn] in SOLVED_UP_TO_AUF[found.last]


def _choose(positions: Sequence[Places], every: list[Milestones]) -> Milestones:
    """The colour that the solver was working on."""
    built = [found for found in every if _has_pairs(positions, found)] or every
    first = min(built, key=lambda found: found.f2l_turn)
    if not _is_all_solved(positions, first):
        return first
    return min(built, key=_order)


def _all_milestones(n: int, away: list[int], crosses: list[int]) -> list[Milestones]:
    """Those of every colour whose F2L comes home."""
    every = [
        _Asked(
            cross,
            cross_away.to_bytes(n, "little").find(0),
            _slots_away(away, cross_away, cross),
        )
        for cross, cross_away in zip(_CROSSES, crosses, strict=True)
    ]
    return [found for one in every if (found := _milestones(n, one)).f2l_turn >= 0]


def _order(found: Milestones) -> tuple[int, int, int, tuple[int, ...], Face]:
    """Sort key: which of several cross colours that are home together was built."""
    turns = found.cross_turn, found.f2l_turn, found.pair_turns
    return -pairs_before_f2l(found), *turns, found.cross


class _Asked(NamedTuple):
    """A colour whose F2L comes home, when its cross did, and its slots as `_Pieces` has them."""

    cross: Face
    cross_turn: int
    slots: list[int]


def _milestones(n: int, asked: _Asked) -> Milestones:
    count = 0
    for slot in asked.slots:
        count += int.from_bytes(slot.to_bytes(n, "little").translate(_IS_ZERO), "little")
    counts = count.to_bytes(n, "little")
    one, two = (counts.translate(_AT_LEAST[k]).find(1) for k in (1, 2))
    three = counts.translate(_AT_LEAST[3])
    home = counts.translate(_AT_LEAST[4])
    f2l_turn = home.find(1)
    return Milestones(
        cross=asked.cross,
        cross_turn=asked.cross_turn,
        pair_turns=(one, two, three.find(1), f2l_turn),
        f2l_turn=f2l_turn,
        three_turn=three.rfind(1, 0, f2l_turn),
        is_built=True,
        home=home,
    )


def pairs_before_f2l(found: Milestones) -> int:
    """How many slots had come home, with the cross, before the turn that completed F2L."""
    return sum(turn < found.f2l_turn for turn in found.pair_turns)


def _has_pairs(positions: Sequence[Places], found: Milestones) -> bool:
    """Whether cross and pairs enough stood before F2L was home, if that was not at the start."""
    n_pairs = MIN_PAIRS_BEFORE_ALL if _is_all_solved(positions, found) else MIN_PAIRS_BEFORE_F2L
    return found.f2l_turn == 0 or found.pair_turns[n_pairs - 1] < found.f2l_turn
