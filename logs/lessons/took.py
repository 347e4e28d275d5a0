"""Whether an evening took: its cases with those who came, since that day."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from logs.algorithms.report import TaughtCase, taught
from logs.cases.facts import cases_by_code
from logs.homework.report.data import CaseState
from logs.homework.report.homework import homework_report
from logs.lessons.models import Lesson
from logs.lessons.report import codes_of
from logs.lessons.selectors import lesson_get, met_after
from logs.people.sight import ClubName, members_visible


@dataclass(frozen=True, slots=True)
class TookCell:
    """A case of a lesson for one member, since that day.

    Attributes:
        code: The case.
        n_met: Solves since in which it came up and was tried.
        n_one_look: Those in one look.
        state: Where its homework of this lesson stands; null where none was set for the member.
    """

    code: str
    n_met: int
    n_one_look: int
    state: CaseState | None


@dataclass(frozen=True, slots=True)
class TookLine:
    """A member who came to a lesson.

    Attributes:
        membership_id: Names the member in addresses.
        name: The name in the club.
        cells: The lesson's cases in order.
    """

    membership_id: int
    name: str
    cells: tuple[TookCell, ...]


@dataclass(frozen=True, slots=True)
class TookReport:
    """Whether an evening took.

    Attributes:
        id: Number of the lesson.
        club: The club.
        title: Name of the lesson.
        on: Its day; what was done after it is counted.
        cases: Its cases in order.
        members: Those who came and show their log, by name.
        n_hidden: Those who came and do not.
        homework_id: The homework set from it; null for none.
    """

    id: int
    club: ClubName
    title: str
    on: date
    cases: tuple[TaughtCase, ...]
    members: tuple[TookLine, ...]
    n_hidden: int
    homework_id: int | None


def took_report(*, actor: User, lesson_id: int, now: datetime) -> TookReport:
    """What became of a lesson's cases with those who came, since that day.

    Raises:
        NotFoundError: There is none, or the actor does not coach its club.
    """
    lesson = lesson_get(actor=actor, lesson_id=lesson_id)
    came = {row.member_id for row in lesson.members.all() if not row.is_missing}
    visible = [
        member
        for member in members_visible(actor=actor, club=lesson.club)
        if member.user_id in came
    ]
    since = datetime.combine(lesson.on, time.max, ZoneInfo(lesson.club.time_zone))
    hits: dict[tuple[int, str], list[bool]] = {}
    for met in met_after(users={m.user_id for m in visible}, since=since.astimezone(UTC)):
        hits.setdefault((met.user_id, met.code), []).append(met.is_one_look)
    states = _states(actor, lesson, now)
    codes = codes_of(lesson)
    return TookReport(
        id=lesson.pk,
        club=ClubName(lesson.club.name, lesson.club.slug),
        title=lesson.title,
        on=lesson.on,
        cases=tuple(taught(cases_by_code()[code]) for code in codes),
        members=tuple(
            TookLine(
                membership_id=member.pk,
                name=member.display_name,
                cells=tuple(
                    TookCell(
                        code,
                        len(hits.get((member.user_id, code), ())),
                        sum(hits.get((member.user_id, code), ())),
                        states.get((member.pk, code)),
                    )
                    for code in codes
                ),
            )
            for member in visible
        ),
        n_hidden=len(came) - len(visible),
        homework_id=lesson.homework_id,
    )


def _states(actor: User, lesson: Lesson, now: datetime) -> dict[tuple[int, str], CaseState]:
    if lesson.homework_id is None:
        return {}
    report = homework_report(actor=actor, homework_id=lesson.homework_id, now=now)
    return {
        (member.membership_id, case.case.code): case.state
        for member in report.members
        for case in member.cases
    }
