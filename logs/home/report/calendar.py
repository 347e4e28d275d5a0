"""A member's dates: lessons that they are planned for and homework, for coaches those of their clubs."""

from dataclasses import dataclass
from datetime import date

from clubsite.accounts.models import User
from cubecore.cases import CASES
from logs.home.selectors import calendar_homework, calendar_lessons, clubs_coached
from logs.homework.models import Homework
from logs.homework.report.progress import case_id


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarDay:
    """One entry of a calendar: a whole day.

    Attributes:
        kind: ``lesson`` or ``homework``.
        id: Number of the lesson or the homework.
        on: The day.
        club: Name of the club.
        title: Title of the lesson; empty for homework.
        cases: Cases to learn by the day; empty for a lesson.
        is_coach: Whether it is told to a coach of the club.
    """

    kind: str
    id: int
    on: date
    club: str
    title: str
    cases: tuple[str, ...]
    is_coach: bool


def calendar_days(*, actor: User) -> tuple[CalendarDay, ...]:
    """The actor's lessons and the dates of their open homework, by day."""
    coached = clubs_coached(actor=actor)
    lessons = [
        CalendarDay(
            kind="lesson",
            id=lesson.pk,
            on=lesson.on,
            club=lesson.club.name,
            title=lesson.title,
            cases=(),
            is_coach=lesson.club_id in coached,
        )
        for lesson in calendar_lessons(actor=actor)
    ]
    homework = [
        CalendarDay(
            kind="homework",
            id=one.pk,
            on=one.due_on,
            club=one.club.name,
            title="",
            cases=_cases(one, actor, is_coach=one.club_id in coached),
            is_coach=one.club_id in coached,
        )
        for one in calendar_homework(actor=actor)
        if one.due_on is not None
    ]
    return tuple(sorted([*lessons, *homework], key=lambda day: (day.on, day.kind, day.id)))


def _cases(homework: Homework, actor: User, *, is_coach: bool) -> tuple[str, ...]:
    """All cases of the homework for a coach, for a member those asked of them."""
    rows = [
        row
        for asked in homework.assignments.all()
        if is_coach or asked.member_id == actor.pk
        for row in asked.cases.all()
    ]
    return tuple(str(CASES[case]) for case in dict.fromkeys(map(case_id, rows)))
