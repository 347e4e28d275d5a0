"""A case as it is named and held, and what each look at the last layer gives away."""

from collections import defaultdict
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from cubecore.cases import CASES, Case, CaseId, Stage, case_at_angle
from cubecore.cues import (
    IN_SIGHT,
    Clue,
    ColourClue,
    Relation,
    cue_of,
    look_alike_views,
    nearest_wrong_hold,
    two_sided_cue,
)
from cubecore.holds import (
    VISIBLE,
    Feature,
    Side,
    Sticker,
    Where,
    shows_last_colour,
    side_colours,
    side_views,
    top_shape,
)
from cubecore.information import information

RELATIONS = (Relation.MATCH, Relation.NEIGHBOUR, Relation.OPPOSITE, Relation.NEIGHBOUR)
"""How two colours of the sides stand to each other, by the quarter turns between them."""


@dataclass(frozen=True, slots=True)
class CaseName:
    """A case by name.

    Attributes:
        stage: ``oll`` or ``pll``.
        number: Number of an OLL, letters of a PLL.
        title: Stage, number and everyday name.
    """

    stage: Stage
    number: str
    title: str


def name_of(case: CaseId) -> CaseName:
    """The case by name."""
    return CaseName(case.stage, case.text, str(CASES[case]))


@dataclass(frozen=True, slots=True)
class StickerPlace:
    """A sticker on the side of the last layer.

    Attributes:
        side: The side, as the solver names it.
        where: Its place in the row of that side.
    """

    side: Side
    where: Where


@dataclass(frozen=True, slots=True)
class ClueFact:
    """One thing to look at.

    Attributes:
        sticker: The sticker.
        is_last_colour: Whether it has the colour of the last layer; null for a PLL.
        other: The sticker that it is compared with; null for an OLL.
        relation: How the two colours stand to each other; null for an OLL.
    """

    sticker: StickerPlace
    is_last_colour: bool | None
    other: StickerPlace | None
    relation: Relation | None


@dataclass(frozen=True, slots=True)
class SideSight:
    """What a side of the last layer shows.

    Attributes:
        side: The side.
        is_in_sight: Whether it is seen without turning the cube.
        feature: What it shows of the last layer's colour; null for a PLL.
        at: End at which a bar of two or a lone corner lies; null where there is none.
        steps: Colours of its stickers from left to right, in quarter turns from the front's own
            colour; empty for an OLL.
    """

    side: Side
    is_in_sight: bool
    feature: Feature | None
    at: Where | None
    steps: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class WrongHoldFact:
    """The wrong hold that looks most like the right one.

    Attributes:
        n_quarter_turns: Clockwise quarter turns of the layer from it to the right hold.
        n_different_stickers: Stickers in sight that differ, of 14.
        is_top_different: Whether the top already tells.
        sticker: The first side sticker that tells; null where only the top does.
        is_last_colour: Whether that sticker has the last layer's colour in the right hold.
        relation: How it stands to the front face's left corner in the right hold; null where there
            is no such sticker.
    """

    n_quarter_turns: int
    n_different_stickers: int
    is_top_different: bool
    sticker: StickerPlace | None
    is_last_colour: bool
    relation: Relation | None


@dataclass(frozen=True, slots=True)
class CaseAngle:
    """An angle at which a case may be met.

    Attributes:
        angle: Quarter turns from the hold of the tables.
        n_quarter_turns: Clockwise quarter turns of the layer from it to the taught hold.
    """

    angle: int
    n_quarter_turns: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LookAlike:
    """A case that could be taken for another.

    Attributes:
        stage: ``oll`` or ``pll``.
        number: Number of an OLL, letters of a PLL.
        title: Stage, number and everyday name.
        angle: The angle at which it looks most like the other.
        clues: What tells it there.
    """

    stage: Stage
    number: str
    title: str
    angle: int
    clues: tuple[ClueFact, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldCase:
    """A case met at an angle.

    Attributes:
        stage: ``oll`` or ``pll``.
        number: Number of an OLL, letters of a PLL.
        title: Stage, number and everyday name.
        angle: Angle at which it is met, quarter turns from the hold of the tables.
        colour: Name of the last layer's colour.
        clues: What tells it from its look-alikes; empty where the top does.
        two_sided: What tells a PLL from all others, on the two sides in sight; empty for an OLL.
        sides: What the sides show: front, right, back, left.
        wrong_hold: The wrong hold that looks nearest; null where every hold is right.
        look_alikes: Cases that the clues tell it from, the most alike first.
    """

    stage: Stage
    number: str
    title: str
    angle: int
    colour: str
    clues: tuple[ClueFact, ...]
    two_sided: tuple[ClueFact, ...]
    sides: tuple[SideSight, ...]
    wrong_hold: WrongHoldFact | None
    look_alikes: tuple[LookAlike, ...]


@lru_cache(maxsize=2_000)
def held_case(case: Case, *, angle: int, colour: str) -> HeldCase:
    """``case`` met at ``angle``, the last layer's ``colour`` by name."""
    two_sided = two_sided_cue(case, angle).clues if case.id.stage is Stage.PLL else ()
    return HeldCase(
        stage=case.id.stage,
        number=case.id.text,
        title=str(case),
        angle=angle,
        colour=colour,
        clues=clue_facts(cue_of(case, angle).clues),
        two_sided=clue_facts(two_sided),
        sides=side_sights(case, angle),
        wrong_hold=wrong_hold_of(case, angle),
        look_alikes=_look_alikes(case, angle),
    )


def _place(sticker: Sticker) -> StickerPlace:
    return StickerPlace(sticker.side, sticker.where)


def clue_facts(clues: tuple[Clue, ...]) -> tuple[ClueFact, ...]:
    """Clues as data."""
    return tuple(
        ClueFact(_place(clue.sticker), clue.is_last_colour, None, None)
        if isinstance(clue, ColourClue)
        else ClueFact(_place(clue.first), None, _place(clue.second), clue.relation)
        for clue in clues
    )


def side_sights(case: Case, angle: int) -> tuple[SideSight, ...]:
    """The four sides of ``case`` met at ``angle``: front and right, then back and left."""
    key = case_at_angle(case, angle)
    views, colours = side_views(key), side_colours(key)
    is_oll = case.id.stage is Stage.OLL
    return tuple(
        SideSight(
            side=side,
            is_in_sight=side in IN_SIGHT,
            feature=views[side].feature if is_oll else None,
            at=views[side].at if is_oll else None,
            steps=() if is_oll else tuple(colours[Sticker(side, where)] for where in Where),
        )
        for side in (*IN_SIGHT, Side.BACK, Side.LEFT)
    )


def wrong_hold_of(case: Case, hold: int) -> WrongHoldFact | None:
    """The hold most easily taken for ``hold``; None where every hold is right."""
    wrong = nearest_wrong_hold(replace(case, key=case_at_angle(case, hold)))
    if wrong is None:
        return None
    relation = None
    if wrong.sticker is not None:
        colours = side_colours(case_at_angle(case, hold))
        relation = RELATIONS[(colours[wrong.sticker] - colours[VISIBLE[0]]) % 4]
    return WrongHoldFact(
        n_quarter_turns=wrong.quarter_turns,
        n_different_stickers=wrong.n_differences,
        is_top_different=wrong.top_differs,
        sticker=None if wrong.sticker is None else _place(wrong.sticker),
        is_last_colour=wrong.is_last_colour,
        relation=relation,
    )


def angles_of(case: Case, *, hold: int) -> tuple[CaseAngle, ...]:
    """Every angle of a case, the hold first, then each by the turns that lead to the hold."""
    return tuple(
        CaseAngle((hold + n_quarter_turns) % case.n_angles, n_quarter_turns)
        for n_quarter_turns in range(case.n_angles)
    )


def _look_alikes(case: Case, angle: int) -> tuple[LookAlike, ...]:
    """The cases that the cue tells it from, each in the angle that looks most like it."""
    here = _seen(case, angle)
    nearest: dict[CaseId, tuple[int, int]] = {}
    for other, turned in look_alike_views(case, angle):
        if other == case.id:
            continue
        apart = sum(a != b for a, b in zip(here, _seen(CASES[other], turned), strict=True))
        nearest[other] = min(nearest.get(other, (apart, turned)), (apart, turned))
    alike = sorted(nearest.items(), key=lambda item: (item[1][0], list(CASES).index(item[0])))
    return tuple(
        LookAlike(
            stage=other.stage,
            number=other.text,
            title=str(CASES[other]),
            angle=turned,
            clues=clue_facts(cue_of(CASES[other], turned).clues),
        )
        for other, (_, turned) in alike
    )


def _seen(case: Case, angle: int) -> tuple[int, ...]:
    """What the six side stickers in sight show."""
    key = case_at_angle(case, angle)
    if len(top_shape(key)) < 8:
        shown = shows_last_colour(key)
        return tuple(int(shown[sticker]) for sticker in VISIBLE)
    colours = side_colours(key)
    return tuple((colours[sticker] - colours[VISIBLE[0]]) % 4 for sticker in VISIBLE)


@dataclass(frozen=True, slots=True)
class Remainder:
    """What is open after a look.

    Attributes:
        seen: The part looked at last: ``nothing``, ``top``, ``front row`` or ``right row``.
        bits: Mean entropy of the case that is left, bits.
        settled_share: Share of solves in which only one case is left, 0..1.
    """

    seen: str
    bits: float
    settled_share: float


@dataclass(frozen=True, slots=True)
class SharedShape:
    """A shape on top that more than one case shows.

    Attributes:
        cases: The cases, by title.
        n_stickers: Side stickers in sight that suffice to tell any of them, at any angle that shows
            the shape, from the others.
    """

    cases: tuple[str, ...]
    n_stickers: int


@dataclass(frozen=True, slots=True)
class StageInformation:
    """What each look at one stage gives away; shapes are counted alike however they are turned.

    Attributes:
        stage: ``oll`` or ``pll``.
        remainders: What is open after each look, the looks in their order.
        n_shapes: Shapes on top.
        n_single: Shapes that only one case shows.
        shared: Shapes that several cases show.
    """

    stage: Stage
    remainders: tuple[Remainder, ...]
    n_shapes: int
    n_single: int
    shared: tuple[SharedShape, ...]


@cache
def information_report() -> tuple[StageInformation, ...]:
    """The figures of both stages. A PLL has one shape on top, so only OLLs have shapes to share."""
    shared, n_single = _shapes()
    return (
        StageInformation(
            Stage.OLL, _remainders(Stage.OLL), len(shared) + n_single, n_single, shared
        ),
        StageInformation(Stage.PLL, _remainders(Stage.PLL), 1, 0, ()),
    )


def _remainders(stage: Stage) -> tuple[Remainder, ...]:
    return tuple(Remainder(one.seen, one.bits, one.settled_share) for one in information(stage))


def _shapes() -> tuple[tuple[SharedShape, ...], int]:
    """The shapes that several OLLs share, and how many shapes are one case's own."""
    holders: dict[frozenset[frozenset[int]], set[CaseId]] = defaultdict(set)
    for case in CASES.values():
        if case.id.stage is Stage.OLL:
            turned = frozenset(top_shape(case_at_angle(case, angle)) for angle in range(4))
            holders[turned].add(case.id)
    shared = [_shared(cases) for cases in holders.values() if len(cases) > 1]
    return tuple(shared), len(holders) - len(shared)


def _shared(cases: set[CaseId]) -> SharedShape:
    ordered = [case for case in CASES if case in cases]
    most = max(
        len(cue_of(CASES[case], angle, in_sight=True).clues)
        for case in ordered
        for angle in range(CASES[case].n_angles)
    )
    return SharedShape(tuple(str(CASES[case]) for case in ordered), most)
