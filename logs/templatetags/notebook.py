"""Figures, days and cases as every page writes them; built in, so that no template loads it."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any, Protocol

import segno
from django import template
from django.utils.safestring import SafeString, mark_safe

from cubecore import pictures
from cubecore.cases import Stage
from cubecore.cue_words import cue_sentence
from cubecore.cues import cue_of, cue_stickers
from cubecore.turns import FACE_BY_COLOUR
from logs import words

register = template.Library()
register.filter("times", words.times)
register.filter("solves", words.solves)
register.filter("average", words.average)
register.filter("split", words.split)
register.filter("range", words.range_words)
register.filter("day", words.day_words)
register.filter("day_in", words.day_in)
register.filter("moment", words.moment)
register.filter("likely", words.likely)
register.filter("pct", words.pct)
register.filter("signed_pct", words.signed_pct)


YELLOW = "yellow"
"""The last layer's colour for whoever has no log: under a white cross (common practice)."""


class MetCase(Protocol):
    """A case in a report, and the angle at which it is met."""

    @property
    def stage(self) -> str:
        """``oll`` or ``pll``."""

    @property
    def number(self) -> str:
        """Number or letters of the case."""

    @property
    def angle(self) -> int:
        """Angle at which it is met."""


@register.filter
def cue(case: MetCase, colour: str = YELLOW) -> str:
    """What to look at: ``{{ taught|cue }}``, ``{{ held|cue:held.colour }}``."""
    met = words.find_case(case.stage, case.number)
    return "" if met is None else cue_sentence(met, case.angle, colour)


@register.simple_tag
def case_picture(
    stage: str,
    number: str,
    *,
    size: int = 56,
    angle: int = 0,
    text: str = "",
    has_cue: bool = False,
    colour: str = YELLOW,
) -> SafeString:
    """The picture of a case, empty for a skip: ``{% case_picture line.stage line.number size=64 %}``.

    Args:
        stage: ``oll`` or ``pll``.
        number: Number or letters of the case.
        size: Pixels, wide and high.
        angle: Angle at which the case is met.
        text: What is read out in its place; the case's name when empty.
        has_cue: Whether the stickers of the cue are ringed, and the cue is read out as well.
        colour: Name of the last layer's colour.
    """
    return _picture(stage, number, size, angle, text, has_cue, colour)


@register.simple_tag
def track_picture(stage: str, number: str, *, angle: int = 0, colour: str = YELLOW) -> SafeString:
    """A PLL from above with arrows from its pieces to where they belong; empty for an OLL."""
    case = words.find_case(stage, number)
    if case is None or case.id.stage is not Stage.PLL:
        return SafeString("")
    text = f"{case} from above, with an arrow from each piece to where it belongs"
    drawing = pictures.track_drawing(case, angle=angle, text=text, last=FACE_BY_COLOUR[colour])
    return mark_safe(drawing.svg(size=220))  # noqa: S308 - the engine escapes the text


@lru_cache(maxsize=4_000)
def _picture(
    stage: str, number: str, size: int, angle: int, text: str, has_cue: bool, colour: str
) -> SafeString:
    case = words.find_case(stage, number)
    if case is None:
        return SafeString("")
    marks = cue_stickers(cue_of(case, angle)) if has_cue else ()
    if has_cue and not text:
        text = f"{case}: {cue_sentence(case, angle, colour)}"
    last = FACE_BY_COLOUR[colour]
    drawing = pictures.case_drawing(case, angle=angle, text=text, marks=marks, last=last)
    return mark_safe(drawing.svg(size=size))  # noqa: S308 - the engine escapes the text


@register.filter
def qr(link: str, title: str = "QR code of the link") -> SafeString:
    """A link as a QR code (ISO/IEC 18004), drawn as SVG with its quiet zone of four modules.

    As large as the page's style has it.
    """
    svg = segno.make_qr(link, error="m").svg_inline(
        border=4, dark="#000", light="#fff", title=title, omitsize=True
    )
    return mark_safe(svg)  # noqa: S308 - made of a link of our own


@register.filter
def item(values: Mapping[str, Any], key: str) -> Any:  # noqa: ANN401 - of whatever is mapped
    """What a mapping has under ``key``; None where it has nothing."""
    return values.get(key)
