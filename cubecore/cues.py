"""What to look at: the fewest stickers that tell a case, in its hold, from its look-alikes.

In sight are the top, the front row and the right row: what a solver sees without turning the cube.
Of sets of equally few clues those are preferred that a coach points at (common practice, no
source): what is there over what is not, the side to which the shape points, bars and headlights
over single corners. Where nothing that is there in sight tells, but something on the back or the
left does, the solver is to turn and look.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, combinations
from typing import NamedTuple

from cubecore.caching import typed_cache
from cubecore.cases import CASES, Case, CaseId, LastLayerKey, Stage, case_at_angle
from cubecore.cube import PLACES
from cubecore.holds import (
    VISIBLE,
    Feature,
    Side,
    Sticker,
    all_views,
    shows_last_colour,
    side_colours,
    side_views,
    top_shape,
)
from cubecore.words import Word


class Relation(Word):
    """How the colours of two stickers stand to each other."""

    MATCH = "match"
    OPPOSITE = "opposite"
    NEIGHBOUR = "neighbour"


class ColourClue(NamedTuple):
    """An OLL clue: whether a sticker has the last layer's colour."""

    sticker: Sticker
    is_last_colour: bool


class PairClue(NamedTuple):
    """A PLL clue: how two stickers stand to each other."""

    first: Sticker
    second: Sticker
    relation: Relation


Clue = ColourClue | PairClue
IN_SIGHT = (Side.FRONT, Side.RIGHT)


@dataclass(frozen=True, slots=True)
class Cue:
    """The cue of a case in one hold.

    Attributes:
        case: The case.
        angle: The angle it is met at.
        look_alikes: The other cases that the clues tell it from.
        clues: The fewest that settle case and angle among the look-alikes; none are needed when
            the top alone does.
    """

    case: CaseId
    angle: int
    look_alikes: tuple[CaseId, ...]
    clues: tuple[Clue, ...]


class WrongHold(NamedTuple):
    """The hold that looks most like the right one; of several the one turned least.

    Attributes:
        quarter_turns: The clockwise quarter turns of the layer that would lead to the right hold.
        n_differences: How many of the 14 visible stickers differ.
        top_differs: Whether the top already tells.
        sticker: The first side sticker that tells, or None when only the top does.
        is_last_colour: What that sticker is in the right hold.
    """

    quarter_turns: int
    n_differences: int
    top_differs: bool
    sticker: Sticker | None
    is_last_colour: bool


_View = tuple[CaseId, int]


@typed_cache()
def _views(stage: Stage) -> dict[_View, LastLayerKey]:
    return all_views(stage)


def look_alike_views(case: Case, angle: int) -> dict[_View, LastLayerKey]:
    """Every other case and angle that could be taken for ``case`` met at ``angle``.

    For an OLL those with the same shape on top; for a PLL its family, at every angle.
    """
    views = _views(case.id.stage)
    here = (case.id, angle)
    if case.id.stage is Stage.OLL:
        shape = top_shape(views[here])
        return {
            view: key for view, key in views.items() if view != here and top_shape(key) == shape
        }
    return {
        view: key
        for view, key in views.items()
        if view != here and CASES[view[0]].family == case.family
    }


def colour_clues(key: LastLayerKey) -> tuple[ColourClue, ...]:
    """All twelve OLL clues of a view, the stickers that have the last layer's colour first."""
    clues = [ColourClue(*item) for item in shows_last_colour(key).items()]
    return tuple(sorted(clues, key=lambda clue: not clue.is_last_colour))


def pair_clues(key: LastLayerKey) -> tuple[PairClue, ...]:
    """All fifteen PLL clues of a view, matches on one face first."""
    colours = side_colours(key)
    clues = []
    for first, second in combinations(VISIBLE, 2):
        steps = (colours[first] - colours[second]) % 4
        relation = (Relation.MATCH, Relation.NEIGHBOUR, Relation.OPPOSITE, Relation.NEIGHBOUR)[
            steps
        ]
        clues.append(PairClue(first, second, relation))
    order = [Relation.MATCH, Relation.OPPOSITE, Relation.NEIGHBOUR]
    return tuple(
        sorted(clues, key=lambda c: (order.index(c.relation), c.first.side != c.second.side))
    )


_Chosen = tuple[ColourClue, ...]
# What coaches point at first: a row of stickers, then a single one, then a side without any. Between
# headlights and a single sticker no case in any hold has to choose.
_FEATURE_RANK = {
    Feature.BAR_OF_THREE: 0,
    Feature.BAR_OF_TWO: 0,
    Feature.HEADLIGHTS: 0,
    Feature.LONE_CORNER: 1,
    Feature.LONE_EDGE: 1,
    Feature.NOTHING: 2,
}


def _telling_sets(
    clues: Sequence[ColourClue], rivals: Sequence[LastLayerKey]
) -> Iterator[tuple[_Chosen, ...]]:
    """For 0, 1, 2, ... clues, the sets of so many that no rival shows all of."""
    shown_by = [set(colour_clues(rival)) for rival in rivals]
    for size in range(len(clues) + 1):
        yield tuple(
            chosen
            for chosen in combinations(clues, size)
            if not any(shown.issuperset(chosen) for shown in shown_by)
        )


def _oll_clues(key: LastLayerKey, rivals: Sequence[LastLayerKey], *, in_sight: bool) -> _Chosen:
    """The fewest clues that tell ``key`` from ``rivals``, of several sets the one to point at."""
    clues = colour_clues(key)
    seen = [clue for clue in clues if clue.sticker.side in IN_SIGHT]
    best = min(next(filter(None, _telling_sets(seen, rivals))), key=_pointing_order(key))
    if in_sight or not best or any(clue.is_last_colour for clue in best):
        return best
    present = [clue for clue in clues if clue.is_last_colour]
    turned = next(filter(None, _telling_sets(present, rivals)), ())
    fewer = [chosen for chosen in turned if len(chosen) <= len(best)]
    return min(fewer, key=_pointing_order(key)) if fewer else best


def _pointing_order(key: LastLayerKey) -> Callable[[_Chosen], tuple[int, int, int]]:
    """Sort key: which of several sets of clues a coach would rather point at."""
    views, towards = side_views(key), pointed_sides(key)

    def order(chosen: _Chosen) -> tuple[int, int, int]:
        sides = [clue.sticker.side for clue in chosen]
        n_absent = sum(not clue.is_last_colour for clue in chosen)
        n_elsewhere = sum(side not in towards for side in sides)
        rank = sum(_FEATURE_RANK[views[side].feature] for side in sides)
        # Who turns to look at all looks for a row of stickers, wherever the shape points.
        is_turned = any(side not in IN_SIGHT for side in sides)
        return (n_absent, rank, n_elsewhere) if is_turned else (n_absent, n_elsewhere, rank)

    return order


def pointed_sides(key: LastLayerKey) -> frozenset[Side]:
    """The sides to which most of the shape on top lies; none where it lies evenly."""
    x, z = lean(top_shape(key))
    across = {1: Side.RIGHT, -1: Side.LEFT}.get((x > 0) - (x < 0))
    depth = {1: Side.FRONT, -1: Side.BACK}.get((z > 0) - (z < 0))
    return frozenset(side for side in (across, depth) if side is not None)


def lean(shape: frozenset[int]) -> tuple[int, int]:
    """How far a shape on top lies to the right, and how far to the front."""
    pieces = [PLACES[place][0] for place in shape]
    return sum(piece[0] for piece in pieces), sum(piece[2] for piece in pieces)


def _pll_clues(key: LastLayerKey, rivals: Iterable[LastLayerKey]) -> tuple[PairClue, ...]:
    """The first of the smallest sets of clues that no rival shows all of."""
    shown_by = [set(pair_clues(rival)) for rival in rivals]
    clues = pair_clues(key)
    sets = chain.from_iterable(combinations(clues, size) for size in range(len(clues) + 1))
    return next(
        chosen for chosen in sets if not any(shown.issuperset(chosen) for shown in shown_by)
    )


def cue_of(case: Case, angle: int = 0, *, in_sight: bool = False) -> Cue:
    """The cue of ``case`` met at ``angle``.

    Args:
        case: The case.
        angle: The angle it is met at.
        in_sight: Whether the solver cannot turn to look.
    """
    rivals = look_alike_views(case, angle)
    key, keys = case_at_angle(case, angle), tuple(rivals.values())
    clues: tuple[Clue, ...]
    if case.id.stage is Stage.OLL:
        clues = _oll_clues(key, keys, in_sight=in_sight)
    else:
        clues = _pll_clues(key, keys)
    others = tuple(dict.fromkeys(other for other, _ in rivals if other != case.id))
    return Cue(case.id, angle, others, clues)


def two_sided_cue(case: Case, angle: int = 0) -> Cue:
    """The fewest clues that tell a PLL and its angle from all others, on the two sides in sight.

    Raises:
        ValueError: ``case`` is no PLL.
    """
    if case.id.stage is not Stage.PLL:
        raise ValueError(f"{case} is told by its top first: use cue_of.")
    here = (case.id, angle)
    rivals = {view: key for view, key in _views(Stage.PLL).items() if view != here}
    clues = _pll_clues(case_at_angle(case, angle), rivals.values())
    others = tuple(dict.fromkeys(other for other, _ in rivals if other != case.id))
    return Cue(case.id, angle, others, clues)


def nearest_wrong_hold(case: Case) -> WrongHold | None:
    """The angle that looks most like the case's reference hold; None when every angle is right.

    For a PLL the sides are compared by which of their stickers match their neighbours.
    """
    nearest = None
    right = case.key
    for angle in range(1, case.n_angles):
        wrong = case_at_angle(case, angle)
        top_differences = len(top_shape(right) ^ top_shape(wrong))
        differing = [s for s in VISIBLE if _looks(right)[s] != _looks(wrong)[s]]
        n_differences = top_differences + len(differing)
        if nearest is None or n_differences < nearest.n_differences:
            sticker = differing[0] if differing else None
            is_last = bool(sticker and shows_last_colour(right)[sticker])
            nearest = WrongHold(
                quarter_turns=angle,
                n_differences=n_differences,
                top_differs=top_differences > 0,
                sticker=sticker,
                is_last_colour=is_last,
            )
    return nearest


def _looks(key: LastLayerKey) -> dict[Sticker, int]:
    """What each visible side sticker shows: its colour class (OLL) or its step from the first."""
    if len(top_shape(key)) < 8:
        return {sticker: int(shown) for sticker, shown in shows_last_colour(key).items()}
    colours = side_colours(key)
    return {sticker: (colours[sticker] - colours[VISIBLE[0]]) % 4 for sticker in VISIBLE}


def cue_stickers(cue: Cue) -> tuple[Sticker, ...]:
    """The side stickers that the cue names, each once."""
    named: list[Sticker] = []
    for clue in cue.clues:
        named += [clue.first, clue.second] if isinstance(clue, PairClue) else [clue.sticker]
    return tuple(dict.fromkeys(named))
