"""The first page in words."""

from collections.abc import Iterable

from django.template import Library

from logs.home.report import CaseOfMember, DeskReport, HomeReport
from logs.words import solves

register = Library()

MOST = 6
"""Names on a line; the rest are counted."""


@register.filter
def names(of: Iterable[str]) -> str:
    """``Ada, Milo and 3 more``."""
    each = list(dict.fromkeys(of))
    if len(each) > MOST:
        return f"{', '.join(each[:MOST])} and {len(each) - MOST} more"
    return ", ".join(each)


@register.filter
def by_member(cases: Iterable[CaseOfMember]) -> list[tuple[str, list[CaseOfMember]]]:
    """The cases of each member, by name."""
    groups: dict[str, list[CaseOfMember]] = {}
    for case in cases:
        groups.setdefault(case.name, []).append(case)
    return sorted(groups.items())


def _n(n: int, word: str) -> str:
    return f"{n} {word}" if n == 1 else f"{n:,} {word}s"


@register.filter
def desk_finding(report: DeskReport) -> str:
    """The one sentence of the desk: what came in, and what waits for the coach."""
    n = len(report.logged)
    logged = f"{_n(n, 'member')} logged {solves(report.n_solves)}" if n else "No log came in"
    tasks = []
    if report.ready:
        tasks.append(
            f"{_n(len(report.ready), 'case')} wait{'s' * (len(report.ready) == 1)} to be seen"
        )
    if report.together:
        tasks.append(f"{_n(len(report.together), 'case')} to look at together")
    if report.verified:
        tasks.append(f"{_n(len(report.verified), 'case')} verified")
    return f"{logged}; {', '.join(tasks)}." if tasks else f"{logged}."


@register.filter
def home_finding(report: HomeReport) -> str:
    """The one sentence of a member's home: how far the homework is."""
    if not report.homework:
        return "No homework is open. Here is what would help you next."
    if report.n_learnt == report.n_asked:
        return f"All {_n(report.n_asked, 'homework case')} learnt. Your solves will show the rest."
    return f"{report.n_learnt} of {_n(report.n_asked, 'homework case')} learnt so far."
