"""What the sides of a last layer show, in plain words (common practice, no source)."""

from dataclasses import dataclass, replace
from functools import lru_cache

from cubecore.cases import CASES, Case, CaseId, Stage, case_at_angle
from cubecore.cues import (
    clue_sentences,
    cue_of,
    cue_sentence,
    cue_stickers,
    look_alike_views,
    nearest_wrong_hold,
    shape_words,
    sticker_words,
    two_sided_cue,
)
from cubecore.holds import (
    VISIBLE,
    Feature,
    Side,
    SideView,
    Sticker,
    Where,
    shows_last_colour,
    side_colours,
    side_views,
    top_shape,
)
from cubecore.pictures import case_picture

IN_SIGHT = (Side.FRONT, Side.RIGHT)


_ENDS = {Where.LEFT: "left", Where.RIGHT: "right"}


@dataclass(frozen=True, slots=True)
class SideLine:
    """A side of the layer, what it shows, and whether it is seen without turning the cube."""

    side: str
    words: str
    is_in_sight: bool


def side_lines(case: Case, angle: int, colour: str) -> tuple[SideLine, ...]:
    """The four sides of ``case`` met at ``angle``: front and right, then back and left.

    For an OLL what each shows of the last layer's ``colour``; for a PLL which of its stickers
    match.
    """
    key = case_at_angle(case, angle)
    if case.id.stage is Stage.OLL:
        views = side_views(key)
        said = {side: _oll_words(views[side], colour) for side in Side}
    else:
        colours = side_colours(key)
        said = {
            side: _pll_words(*(colours[Sticker(side, where)] for where in Where)) for side in Side
        }
    order = (*IN_SIGHT, Side.BACK, Side.LEFT)
    return tuple(SideLine(side.value, said[side], side in IN_SIGHT) for side in order)


def _oll_words(view: SideView, colour: str) -> str:
    feature = view.feature
    if feature is Feature.NOTHING:
        return f"nothing {colour}"
    if feature is Feature.HEADLIGHTS:
        return f"{colour} headlights, at both corners"
    if feature in (Feature.LONE_CORNER, Feature.LONE_EDGE):
        words = f"a lone {colour} {feature.value.removeprefix('lone ')}"
    else:
        words = f"a {colour} {feature.value}"
    end = _ENDS.get(view.at) if view.at is not None else None
    return f"{words} at its {end} end" if end else words


def _pll_words(left: int, middle: int, right: int) -> str:
    """What three stickers show, each a number of quarter turns from the front's own colour."""
    if left == middle == right:
        return "a bar of three"
    if left == middle:
        return f"a bar of two at its left end{_apart(right, middle)}"
    if middle == right:
        return f"a bar of two at its right end{_apart(left, middle)}"
    if left == right:
        kind = "the opposite" if (middle - left) % 4 == 2 else "a neighbouring"
        return f"headlights, the edge between them of {kind} colour"
    pairs = [
        ("the corners", left, right),
        ("the left two", left, middle),
        ("the right two", middle, right),
    ]
    opposite = [name for name, one, other in pairs if (one - other) % 4 == 2]
    return f"no two alike, {opposite[0]} of opposite colours"


def _apart(other: int, bar: int) -> str:
    return ", the third sticker opposite" if (other - bar) % 4 == 2 else ""


PICTURE = 220


BESIDE = 120


SMALL = 56


YELLOW = "yellow"


_AUF = {1: "U", 2: "U2", 3: "U'"}


@dataclass(frozen=True, slots=True)
class Angle:
    """A way to meet a case; ``auf`` is the turn of the layer that leads to its hold."""

    angle: int
    words: str
    auf: str
    picture: str
    is_shown: bool


@dataclass(frozen=True, slots=True)
class LookAlike:
    """A case that could be taken for another, in the angle that looks most like it."""

    stage: str
    number: str
    title: str
    picture: str
    look_at: str


@dataclass(frozen=True, slots=True)
class HeldCase:
    """A case met at an angle.

    Attributes:
        shape: The shape on top in plain words, its place among them.
        look_at: The cue as a sentence, the shape first.
        clues: Its sentences without the shape; none where the top is enough.
        two_sided: For a PLL, what tells it from all others; empty for an OLL.
        sides: What the four sides show.
        wrong_hold: The wrong hold that looks nearest, and how to notice it; empty without one.
        n_alike: How many cases the clues tell it from.
    """

    stage: str
    number: str
    title: str
    angle: int
    picture: str
    shape: str
    look_at: str
    clues: tuple[str, ...]
    two_sided: tuple[str, ...]
    sides: tuple[SideLine, ...]
    wrong_hold: str
    look_alikes: tuple[LookAlike, ...]
    n_alike: int


@lru_cache(maxsize=2_000)
def held_case(case: Case, *, angle: int, colour: str = YELLOW, size: int = PICTURE) -> HeldCase:
    """``case`` met at ``angle``, the last layer's ``colour`` by name."""
    cue = cue_of(case, angle)
    clues = clue_sentences(cue, colour)
    is_pll = case.id.stage is Stage.PLL
    return HeldCase(
        stage=case.id.stage.value,
        number=str(case.id.number),
        title=str(case),
        angle=angle,
        picture=cue_picture(case, angle=angle, colour=colour, size=size),
        shape=shape_words(case, angle),
        look_at=cue_sentence(case, angle, colour),
        clues=clues,
        two_sided=clue_sentences(two_sided_cue(case, angle), colour) if is_pll else (),
        sides=side_lines(case, angle, colour),
        wrong_hold=wrong_hold_words(case, angle, colour),
        look_alikes=_look_alikes(case, angle, colour),
        n_alike=len(cue.look_alikes),
    )


def cue_picture(case: Case, *, angle: int, colour: str = YELLOW, size: int = BESIDE) -> str:
    """The picture of a case with its cue ringed; its text alternative is the cue."""
    return case_picture(
        case,
        size=size,
        angle=angle,
        text=f"{case}: {cue_sentence(case, angle, colour)}",
        marks=cue_stickers(cue_of(case, angle)),
    )


def angles_of(case: Case, *, hold: int, shown: int) -> tuple[Angle, ...]:
    """Every angle of a case, the hold first, then each by the turn that leads to the hold."""
    angles = []
    for steps in range(case.n_angles):
        angle = (hold + steps) % case.n_angles
        words = f"{_AUF[steps]} away from the hold" if steps else "In the hold"
        angles.append(
            Angle(
                angle=angle,
                words=words,
                auf=_AUF.get(steps, ""),
                picture=case_picture(
                    case, size=SMALL, angle=angle, text=f"{case}, {shape_words(case, angle)}"
                ),
                is_shown=angle == shown,
            )
        )
    return tuple(angles)


def wrong_hold_words(case: Case, hold: int, colour: str) -> str:
    """The hold most easily taken for ``hold``, and how to notice it; empty where all are right."""
    wrong = nearest_wrong_hold(replace(case, key=case_at_angle(case, hold)))
    if wrong is None:
        return ""
    start = f"The wrong hold that looks nearest is {_AUF[wrong.quarter_turns]} away from it:"
    n = wrong.n_differences
    differ = f"{n} of the 14 stickers in sight differ{'s' * (n == 1)}."
    if wrong.top_differs:
        mark = f"The top tells: held right it is “{shape_words(case, hold)}”."
    elif wrong.sticker is None:
        return ""
    elif case.id.stage is Stage.OLL:
        is_not = "" if wrong.is_last_colour else "not "
        mark = (
            f"The top is the same. In the right hold the {sticker_words(wrong.sticker)}"
            f" is {is_not}{colour}."
        )
    else:
        mark = (
            f"Look at the {sticker_words(wrong.sticker)}: against the front face's left corner"
            f" it must {_stands(case, hold, wrong.sticker)}."
        )
    return f"{start} {differ} {mark}"


def _stands(case: Case, hold: int, sticker: Sticker) -> str:
    """How a sticker stands to the front's left corner in the hold."""
    colours = side_colours(case_at_angle(case, hold))
    steps = (colours[sticker] - colours[VISIBLE[0]]) % 4
    return {0: "match", 2: "be the opposite colour"}.get(
        steps, "be a neighbouring colour, neither the same nor the opposite"
    )


def _look_alikes(case: Case, angle: int, colour: str) -> tuple[LookAlike, ...]:
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
            stage=other.stage.value,
            number=str(other.number),
            title=str(CASES[other]),
            picture=cue_picture(CASES[other], angle=turned, colour=colour),
            look_at=" ".join(clue_sentences(cue_of(CASES[other], turned), colour)),
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
