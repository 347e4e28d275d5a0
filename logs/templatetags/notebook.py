"""Figures, days and cases as every page writes them; built in, so that no template loads it."""

from functools import lru_cache

from django import template
from django.utils.safestring import SafeString, mark_safe

from cubecore import pictures
from logs import words

register = template.Library()
register.filter("times", words.times)
register.filter("solves", words.solves)
register.filter("average", words.average)
register.filter("split", words.split)
register.filter("range", words.range_words)
register.filter("day", words.day_words)
register.filter("moment", words.moment)
register.filter("likely", words.likely)


@register.simple_tag
@lru_cache(maxsize=4_000)
def case_picture(stage: str, number: str, *, size: int = 56, angle: int = 0) -> SafeString:
    """The picture of a case: ``{% case_picture line.stage line.number size=64 %}``."""
    case = words.find_case(stage, number)
    if case is None:
        return SafeString("")
    return mark_safe(pictures.case_picture(case, size=size, angle=angle))  # noqa: S308 - the engine escapes the text
