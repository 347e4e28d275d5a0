"""Algorithms in words."""

from collections.abc import Sequence
from typing import Protocol

from django.template import Library
from django.utils.safestring import SafeString

from logs.algorithms.report import Run
from logs.cases.report import CaseName
from logs.templatetags.notebook import case_picture

register = Library()


class ReadOut(Protocol):
    """A report with an algorithm in it, read out."""

    @property
    def runs(self) -> tuple[Run, ...]:
        """Triggers by name, and the turns between them."""


@register.filter
def read_out(runs: Sequence[Run]) -> str:
    """Triggers and the turns between them: ``Sune, then F, righty trigger, F'``."""
    texts = [run.text for run in runs]
    if len(texts) < 2:
        return "".join(texts)
    return f"{texts[0]}, then {', '.join(texts[1:])}"


@register.filter
def has_names(algorithm: ReadOut) -> bool:
    """Whether reading it out tells more than its turns."""
    return any(run.is_name for run in algorithm.runs)


@register.simple_tag
def hold_picture(case: CaseName, angle: int) -> SafeString:
    """The picture of the hold that an algorithm starts from."""
    text = f"{case.title}, the hold it starts from"
    return case_picture(case.stage, case.number, size=64, angle=angle, text=text)
