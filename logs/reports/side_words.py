"""What the sides of a last layer show, in plain words (common practice, no source)."""

from dataclasses import dataclass

from cubecore.cases import Case, Stage, case_at_angle
from cubecore.holds import Feature, Side, SideView, Sticker, Where, side_colours, side_views

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
