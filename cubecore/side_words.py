"""What each side of a last layer shows, in plain words (common practice, no source)."""

from cubecore.cases import LastLayerKey, Stage
from cubecore.holds import Feature, Side, SideView, Sticker, Where, side_colours, side_views

_ENDS = {Where.LEFT: "left", Where.RIGHT: "right"}


def side_words(key: LastLayerKey, stage: Stage, colour: str = "yellow") -> dict[Side, str]:
    """What each side shows: for an OLL of the last layer's ``colour``, for a PLL which match."""
    if stage is Stage.OLL:
        return {side: oll_side_words(view, colour) for side, view in side_views(key).items()}
    colours = side_colours(key)
    return {
        side: pll_side_words(*(colours[Sticker(side, where)] for where in Where)) for side in Side
    }


def oll_side_words(view: SideView, colour: str) -> str:
    """What a side shows of the last layer's colour: ``a lone yellow corner at its left end``."""
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


def pll_side_words(left: int, middle: int, right: int) -> str:
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
    pairs = {
        "the corners": left - right,
        "the left two": left - middle,
        "the right two": middle - right,
    }
    opposite = next(name for name, steps in pairs.items() if steps % 4 == 2)
    return f"no two alike, {opposite} of opposite colours"


def _apart(third: int, bar: int) -> str:
    return ", the third sticker opposite" if (third - bar) % 4 == 2 else ""
