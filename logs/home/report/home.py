"""A member's home."""

from dataclasses import dataclass
from datetime import date, datetime
from statistics import median
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from logs.algorithms.report import TaughtCase, taught
from logs.algorithms.selectors import book_of_member, holds_of_member
from logs.cases.facts import case_of
from logs.home.selectors import newest_times
from logs.homework.report.data import (
    AssignmentReport,
    CaseState,
)
from logs.homework.report.homework import own_homework
from logs.next_up.report import next_up_report
from logs.people.sight import (
    ClubName,
    time_zone_of,
)
from logs.solves.selectors.solves import draft_list, set_aside_list

USUAL_FROM = 20
"""So many solves before the last sitting make what is usual."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingReport:
    """A member's last sitting: the solves of the last day on which they solved.

    Attributes:
        on: The day, in the member's time zone.
        n: Solves that counted.
        median_ms: Their median, ms.
        n_before: Solves that counted among the newest before that day.
        usual_ms: Median of those, ms; null with too few.
    """

    on: date
    n: int
    median_ms: float
    n_before: int
    usual_ms: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeReport:
    """A member's home.

    Attributes:
        homework: What is asked of them and still open, the newest first.
        n_asked: Cases asked in it.
        n_learnt: Those that are ready, shown or verified.
        next_case: One case to do next; null where nothing is known to propose.
        is_next_homework: Whether that case is homework.
        sitting: Their last sitting; null without dated solves.
        n_waiting: Files that wait to be told which column is what.
        n_set_aside: Rows that wait to be mended.
        coached: Clubs that they coach.
    """

    homework: tuple[AssignmentReport, ...]
    n_asked: int
    n_learnt: int
    next_case: TaughtCase | None
    is_next_homework: bool
    sitting: SittingReport | None
    n_waiting: int
    n_set_aside: int
    coached: tuple[ClubName, ...]


def home_report(*, actor: User, now: datetime) -> HomeReport:
    """The home of the actor."""
    homework = own_homework(actor=actor, now=now)
    code = _next_code(homework.open)
    return HomeReport(
        homework=homework.open,
        n_asked=sum(asked.member.n_asked for asked in homework.open),
        n_learnt=sum(asked.member.n_learnt for asked in homework.open),
        next_case=_next_case(actor, code, now),
        is_next_homework=bool(code),
        sitting=last_sitting(newest_times(actor=actor), time_zone_of(actor=actor)),
        n_waiting=len(draft_list(actor=actor, now=now)),
        n_set_aside=len(set_aside_list(actor=actor)),
        coached=homework.coached,
    )


def _next_code(homework: tuple[AssignmentReport, ...]) -> str:
    """The first case of the oldest homework that is not learnt yet; empty where all are."""
    for asked in reversed(homework):
        for case in asked.member.cases:
            if case.state is CaseState.OPEN:
                return case.case.code
    return ""


def _next_case(actor: User, code: str, now: datetime) -> TaughtCase | None:
    case = case_of(code)
    if case is not None:
        return taught(case, book_of_member(member=actor), holds_of_member(member=actor))
    first = next_up_report(actor=actor, now=now).now[:1]
    return first[0].taught if first else None


def last_sitting(times: list[tuple[datetime, int]], zone: ZoneInfo) -> SittingReport | None:
    """The last day of solves, beside those before it.

    Args:
        times: When each solve was done and what counted, ms; newest first.
        zone: In which a day begins and ends.
    """
    if not times:
        return None
    on = times[0][0].astimezone(zone).date()
    of_day = [ms for at, ms in times if at.astimezone(zone).date() == on]
    before = [ms for _, ms in times[len(of_day) :]]
    return SittingReport(
        on=on,
        n=len(of_day),
        median_ms=median(of_day),
        n_before=len(before),
        usual_ms=median(before) if len(before) >= USUAL_FROM else None,
    )
