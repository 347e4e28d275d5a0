"""How a case is held and what its sides show, in words (common practice, no source)."""

from functools import lru_cache

from django.template import Library
from django.utils.safestring import SafeString

from cubecore import cue_words
from cubecore.cases import Case, Stage
from cubecore.cue_words import clue_sentences, sticker_words
from cubecore.cues import Relation, cue_of, two_sided_cue
from cubecore.holds import SideView, Sticker, Where
from cubecore.side_words import oll_side_words, pll_side_words
from logs.cases.report import CaseAngle, HeldCase, SideSight, StickerPlace
from logs.templatetags.notebook import MetCase, case_picture
from logs.words import find_case

register = Library()

AUFS = ("", "U", "U2", "U'")
"""The turn of the upper layer of so many clockwise quarter turns."""
ENDS = {Where.LEFT: "left", Where.RIGHT: "right"}
RELATION_TO_CORNER = {
    Relation.MATCH: "match",
    Relation.OPPOSITE: "be the opposite colour",
    Relation.NEIGHBOUR: "be a neighbouring colour, neither the same nor the opposite",
}
LOOKS = {"nothing": "nothing", "top": "the top"}


def _case(met: MetCase) -> Case:
    case = find_case(met.stage, met.number)
    assert case is not None  # reports hold cases of the tables
    return case


@register.filter
def first_turn(before: str) -> str:
    """What a coach's hold asks for before the algorithm; empty where it asks for nothing."""
    return f"The coach's hold: first {before}, then the algorithm." if before else ""


@register.filter
def shape(met: MetCase) -> str:
    """The shape on top in plain words, and where it lies."""
    return cue_words.shape_words(_case(met), met.angle)


@register.filter
def clues(met: MetCase, colour: str) -> tuple[str, ...]:
    """The cue without the shape, a sentence each: ``{{ held|clues:held.colour }}``."""
    return _clues(_case(met), met.angle, colour)


@lru_cache(maxsize=2_000)
def _clues(case: Case, angle: int, colour: str) -> tuple[str, ...]:
    return clue_sentences(cue_of(case, angle), colour)


@register.filter
def two_sided_clues(held: HeldCase) -> tuple[str, ...]:
    """What tells a PLL from all others, a sentence each; none for an OLL."""
    if not held.two_sided:
        return ()
    return clue_sentences(two_sided_cue(_case(held), held.angle), held.colour)


@register.filter
def auf(angle: CaseAngle) -> str:
    """The turn of the layer that leads to the hold; empty in the hold."""
    return AUFS[angle.n_quarter_turns]


@register.filter
def angle_name(angle: CaseAngle) -> str:
    """``In the hold``, or by which turn it comes there: ``U2 first``."""
    return f"{auf(angle)} first" if angle.n_quarter_turns else "In the hold"


@register.simple_tag
def angle_picture(held: HeldCase, angle: CaseAngle) -> SafeString:
    """The picture of the case at another angle; the shape on top is read out in its place."""
    text = f"{held.title}, {cue_words.shape_words(_case(held), angle.angle)}"
    return case_picture(held.stage, held.number, angle=angle.angle, text=text)


@register.filter
def look_name(seen: str) -> str:
    """After which look something is left: ``nothing``, ``the top``, ``the front row too``."""
    return LOOKS.get(seen) or f"the {seen} too"


@register.filter
def side_words(sight: SideSight, colour: str) -> str:
    """What a side shows: ``a lone yellow corner at its left end``, ``a bar of three``."""
    if sight.feature is None:
        return pll_side_words(*sight.steps)
    return oll_side_words(SideView(sight.feature, sight.at), colour)


@register.filter
def wrong_hold(held: HeldCase) -> str:
    """The hold most easily taken for this one, and how to notice it; empty where all are right."""
    wrong = held.wrong_hold
    if wrong is None or (wrong.sticker is None and not wrong.is_top_different):
        return ""
    n = wrong.n_different_stickers
    start = (
        f"The wrong hold that looks nearest is {AUFS[wrong.n_quarter_turns]} away from it:"
        f" {n} of the 14 stickers in sight differ{'s' * (n == 1)}."
    )
    if wrong.is_top_different:
        return f"{start} The top tells: held right it is “{shape(held)}”."
    assert wrong.sticker is not None
    spot = sticker_words(_sticker(wrong.sticker))
    if held.stage is Stage.OLL:
        is_not = "" if wrong.is_last_colour else "not "
        return (
            f"{start} The top is the same. In the right hold the {spot} is {is_not}{held.colour}."
        )
    assert wrong.relation is not None
    return (
        f"{start} Look at the {spot}: against the front face's left corner it must"
        f" {RELATION_TO_CORNER[wrong.relation]}."
    )


def _sticker(place: StickerPlace) -> Sticker:
    return Sticker(place.side, place.where)
