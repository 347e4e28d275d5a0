"""When the cross, the pairs and the first two layers come home, for any cross colour.

Positions are followed over time all at once: for each piece one integer whose byte ``t`` is 0 where
the piece is home after ``t`` turns. Whole stages are then a handful of ``|``.
"""

from bisect import bisect_left
from collections.abc import Callable, Sequence
from functools import lru_cache
from operator import itemgetter
from typing import NamedTuple

from cubecore.cube import N_STICKERS, PIECES, SOLVED, SOLVED_UP_TO_AUF, Places
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
_LASTS = tuple(face.opposite for face in Face)
EDGES = tuple(_edges_of(cross) for cross in Face)
SLOTS = tuple(_slots_of(cross) for cross in Face)
# Of a position, where the followed stickers of the first two layers lie.
_F2L_PIECES = tuple(
    itemgetter(
        *(FOLLOWED[index] for faces, index in _PIECE_INDEX.items() if cross.opposite not in faces)
    )
    for cross in Face
)
_CORNERS = tuple(index for faces, index in _PIECE_INDEX.items() if len(faces) == 3)


MIN_PAIRS_BEFORE_F2L = 2
"""So many pairs stand with the cross before the turn that brings F2L home, where a solve is built
layer by layer (a setting of ours: two pairs at once and an x-cross leave as many)."""
MIN_PAIRS_BEFORE_ALL = 3
"""So many where that turn solves the rest of the cube too: by the end of any solve the cross and two
pairs of some colour have stood (a setting of ours; in 300 solves by two blocks 31 times)."""
MAX_PAIRS_WITH_CROSS = 2
"""So many pairs at most come home by the very turn that brings the cross, where a solve is built
layer by layer (a setting of ours: block builders bring three, and so does chance)."""
MAX_PAIRS_WITH_CROSS_BEFORE_ALL = 1
"""So many where the turn that brings F2L home solves the rest of the cube too: both at once are as
rare in layers as they are common in blocks (a setting of ours)."""


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
            enough before it, few of them with the cross, and neither all corners of the cube home
            by the second nor all edges before the third.
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
        return _LASTS[self.cross]


_number = int.from_bytes
_new_milestones = Milestones.__new__  # by keyword at half the cost of calling the class


def _pieces_away(positions: Sequence[Places]) -> list[int]:
    """For each piece: byte ``t`` is 0 where it is home after ``t`` turns."""
    joined = b"".join(positions)
    return [
        _number(joined[places], "little") ^ home
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


class _Asked(NamedTuple):
    """A colour whose F2L comes home, when its cross did, and its slots as `_slots_away` has them."""

    cross: Face
    cross_turn: int
    slots: list[int]


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
        solved at once the one whose cross, whose F2L, whose pairs came first. Where there is none,
        one that was not built.
    """
    n = len(positions)
    away = _pieces_away(positions)
    crosses = [away[a] | away[b] | away[c] | away[d] for a, b, c, d in EDGES]
    nowhere = 0
    if hidden:
        unseen = bytearray(n)
        for index in hidden:
            unseen[index] = 0xFF
        nowhere = _number(unseen, "little")
        crosses = [flags | nowhere for flags in crosses]
    cross_turns = [flags.to_bytes(n, "little").find(0) for flags in crosses]
    asked = _first_home(away, crosses, cross_turns, n)
    if not asked:
        return None
    milestones = _milestones(n, asked[0])
    is_clear = _has_pairs(milestones, is_all_solved=False)
    if len(asked) > 1 or not is_clear or _is_all_solved(positions, milestones):
        milestones = _choose(positions, _all_milestones(away, crosses, cross_turns, n))
    if _is_kind_first(milestones, away, crosses, cross_turns, nowhere):
        milestones = milestones._replace(is_built=False)
    if not hidden or hidden[-1] < milestones.f2l_turn:
        return milestones
    late = hidden[bisect_left(hidden, milestones.f2l_turn) :]
    pieces = _F2L_PIECES[milestones.cross]
    solved = pieces(SOLVED)
    home = home_in_aufs(milestones.home, late, lambda turn: pieces(positions[turn]) == solved)
    return milestones if home == milestones.home else milestones._replace(home=home)


def _first_home(
    away: list[int], crosses: list[int], cross_turns: list[int], n: int
) -> list[_Asked]:
    """The colours whose F2L is home first."""
    first = n
    asked: list[_Asked] = []
    for cross in sorted(_CROSSES, key=cross_turns.__getitem__):
        cross_turn = cross_turns[cross]
        if cross_turn < 0:
            continue
        if cross_turn > first:
            break  # F2L cannot be home before its cross is.
        slots = _slots_away(away, crosses[cross], cross)
        f2l_away = slots[0] | slots[1] | slots[2] | slots[3]
        f2l_turn = f2l_away.to_bytes(n, "little").find(0)
        if 0 <= f2l_turn < first:
            first, asked = f2l_turn, [_Asked(cross, cross_turn, slots)]
        elif f2l_turn == first:
            asked.append(_Asked(cross, cross_turn, slots))
    return asked


def _is_kind_first(
    milestones: Milestones,
    away: list[int],
    crosses: list[int],
    cross_turns: list[int],
    nowhere: int,
) -> bool:
    """Whether all corners of the cube were home by the second pair, or all edges by the third.

    At the third pair itself a layered solve may have all edges home, the last slot's corner waiting;
    and on the way from the second to two pairs at once all corners, by chance.
    """
    if not milestones.f2l_turn:
        return False
    n = len(milestones.home)
    _, second, third, _ = milestones.pair_turns
    a, b, c, d, e, f, g, h = _CORNERS
    corners = away[a] | away[b] | away[c] | away[d] | away[e] | away[f] | away[g] | away[h]
    if (corners | nowhere).to_bytes(n, "little").find(0, 0, second + 1) >= 0:
        return True
    turn = max(second + 1, third)
    if max(cross_turns) >= turn:
        return False  # All edges are no cross of every colour.
    edges = crosses[0] | crosses[1] | crosses[3] | crosses[4]
    return edges.to_bytes(n, "little").find(0, 0, turn) >= 0


def home_in_aufs(home: bytes, hidden: Sequence[int], is_home: Callable[[int], bool]) -> bytes:
    """When F2L is home, in the hidden middles of an AUF too.

    Args:
        home: Byte ``t`` is 1 where F2L is seen to be home after ``t`` turns.
        hidden: The positions that are not seen, in order.
        is_home: Whether it is home there, seen or not.
    """
    whole = bytearray(home)
    last = len(home) - 1
    for index in hidden:
        if not home[index - 1]:
            continue
        end = index
        while end < last and not home[end] and end in hidden:
            end += 1
        if home[end] and all(map(is_home, range(index, end))):
            whole[index:end] = b"\1" * (end - index)
    return bytes(whole)


def _is_all_solved(positions: Sequence[Places], milestones: Milestones) -> bool:
    """Whether F2L comes home, by a turn, with the rest of the cube solved up to AUF."""
    turn = milestones.f2l_turn
    return turn > 0 and positions[turn] in SOLVED_UP_TO_AUF[milestones.last]


def _choose(positions: Sequence[Places], every: list[Milestones]) -> Milestones:
    """The colour that the solver was working on."""
    built = []
    for milestones in every:
        is_all_solved = _is_all_solved(positions, milestones)
        built.append(milestones._replace(is_built=_has_pairs(milestones, is_all_solved)))
    candidates = [milestones for milestones in built if milestones.is_built] or built
    first = min(candidates, key=lambda milestones: milestones.f2l_turn)
    if not _is_all_solved(positions, first):
        return first
    return min(candidates, key=_order)


def _all_milestones(
    away: list[int], crosses: list[int], cross_turns: list[int], n: int
) -> list[Milestones]:
    """Those of every colour whose F2L comes home."""
    every = []
    for cross, cross_away in zip(_CROSSES, crosses, strict=True):
        slots = _slots_away(away, cross_away, cross)
        every.append(_milestones(n, _Asked(cross, cross_turns[cross], slots)))
    return [milestones for milestones in every if milestones.f2l_turn >= 0]


def _order(milestones: Milestones) -> tuple[int, int, tuple[int, ...], Face]:
    """Sort key: which of several colours that come home with all the rest was built.

    As many pairs of each stood before: `MIN_PAIRS_BEFORE_ALL` are all but the last.
    """
    turns = milestones.cross_turn, milestones.f2l_turn, milestones.pair_turns
    return *turns, milestones.cross


def _milestones(n: int, asked: _Asked) -> Milestones:
    count = 0
    for slot in asked.slots:
        count += _number(slot.to_bytes(n, "little").translate(_IS_ZERO), "little")
    counts = count.to_bytes(n, "little")
    first = counts.translate(_AT_LEAST[1]).find(1)
    second = counts.translate(_AT_LEAST[2]).find(1)
    three = counts.translate(_AT_LEAST[3])
    home = counts.translate(_AT_LEAST[4])
    f2l_turn = home.find(1)
    return _new_milestones(
        Milestones,
        cross=asked.cross,
        cross_turn=asked.cross_turn,
        pair_turns=(first, second, three.find(1), f2l_turn),
        f2l_turn=f2l_turn,
        three_turn=three.rfind(1, 0, f2l_turn),
        is_built=True,
        home=home,
    )


def _has_pairs(milestones: Milestones, is_all_solved: bool) -> bool:
    """Whether cross and pairs enough stood before F2L was home, if that was not at the start.

    Three pairs that come home by the turn that brings the cross are no layer: they were blocks. But
    a scramble may leave all of that but for a turn: practice of the last pair.
    """
    cross_turn, pair_turns, f2l_turn = milestones[1:4]
    if f2l_turn == 0:
        return True
    n_pairs, n_with_cross = MIN_PAIRS_BEFORE_F2L, MAX_PAIRS_WITH_CROSS
    if is_all_solved:
        n_pairs, n_with_cross = MIN_PAIRS_BEFORE_ALL, MAX_PAIRS_WITH_CROSS_BEFORE_ALL
    is_block = 1 < cross_turn == pair_turns[n_with_cross]
    return pair_turns[n_pairs - 1] < f2l_turn and not is_block


def f2l_pieces_home(places: Places, cross: Face) -> bool:
    """Whether the first two layers of a cross colour are home."""
    pieces = _F2L_PIECES[cross]
    return bool(pieces(places) == pieces(SOLVED))


def furthest_stages(positions: Sequence[Places]) -> Milestones | None:
    """The stages of the colour that has come furthest: whose cross stood with the most pairs.

    For a solution whose F2L is not home yet; -1 in it for what is not reached. None before any
    cross. Of several that have come as far the one whose cross came first.
    """
    n = len(positions)
    away = _pieces_away(positions)
    best: Milestones | None = None
    for cross, (a, b, c, d) in zip(_CROSSES, EDGES, strict=True):
        cross_away = away[a] | away[b] | away[c] | away[d]
        cross_turn = cross_away.to_bytes(n, "little").find(0)
        if cross_turn < 0:
            continue
        slots = _slots_away(away, cross_away, cross)
        stages = _milestones(n, _Asked(cross, cross_turn, slots))
        if best is None or _distance(stages) < _distance(best):
            best = stages
    return best


def _distance(stages: Milestones) -> tuple[int, int]:
    """Sort key: how far a colour has come, the furthest first, then the earliest cross."""
    return stages.pair_turns.count(-1), stages.cross_turn
