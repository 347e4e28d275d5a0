"""Lessons in words."""

from django.template import Library

from logs.homework.words import state_word
from logs.lessons.report import LessonCaseLine
from logs.lessons.took import TookCell

register = Library()


@register.filter
def need(line: LessonCaseLine) -> str:
    """Who needs a case: ``needed by Ash, Elm; 2 more have not met it``; empty where nobody does."""
    parts = []
    if line.needed_by:
        parts.append(f"Needed by {', '.join(line.needed_by)}")
    if line.n_unmet:
        more = "more " if line.needed_by else ""
        verb = "has" if line.n_unmet == 1 else "have"
        parts.append(f"{line.n_unmet} {more}{verb} not met it")
    return "; ".join(parts)


@register.filter
def took(cell: TookCell) -> str:
    """One look of solves since, and where the homework stands: ``2 of 3, ready``, a dash for none."""
    parts = [f"{cell.n_one_look} of {cell.n_met}"] if cell.n_met else []
    if cell.state is not None:
        parts.append(state_word(cell.state))
    return ", ".join(parts) or "–"  # noqa: RUF001 - a dash stands where nothing came up
