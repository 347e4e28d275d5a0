"""The book in words."""

from django.template import Library

from logs.book.report import UseLine

register = Library()

HOLDS = (
    "the taught hold",
    "U away from the taught hold",
    "U2 away from the taught hold",
    "U' away from the taught hold",
)


@register.filter
def hold_name(use: UseLine) -> str:
    """From which hold it is done: ``the taught hold``, ``U2 away from the taught hold``."""
    away = use.n_quarter_turns_away
    return "not told" if away is None else HOLDS[away]
