"""A coach's desk."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from logs.cases.report import CaseName
from logs.club.report.mistaken import MistakenLine, club_mistaken_report
from logs.errors import NotFoundError
from logs.home.selectors import joined_since, logs_since, unshared_count
from logs.homework.report.data import (
    AskedCase,
    CaseProgress,
    CaseState,
    Head,
    MemberProgress,
)
from logs.homework.report.progress import Progress, head_of
from logs.homework.selectors import homework_list, memberships_shown
from logs.lessons.selectors import lesson_list
from logs.people.sight import (
    ClubMember,
    ClubSight,
    ClubView,
    coached_clubs,
)
from logs.solves.selectors.solves import draft_list

DUE_WITHIN = timedelta(days=7)
QUIET_AFTER = timedelta(days=21)


@dataclass(frozen=True, slots=True)
class MemberLog:
    """A member and their logs.

    Attributes:
        member: The member.
        n_solves: Rows taken since the desk was last opened.
        last_at: When their newest log came in; null for none.
    """

    member: ClubMember
    n_solves: int
    last_at: datetime | None


@dataclass(frozen=True, slots=True)
class CaseOfMember:
    """A homework case of one member.

    Attributes:
        homework_id: Number of the homework.
        membership_id: Names the member in addresses.
        name: The member's name in the club.
        case: The case.
    """

    homework_id: int
    membership_id: int
    name: str
    case: AskedCase


@dataclass(frozen=True, slots=True)
class DueHomework:
    """Homework whose date is near or past, with cases that are not learnt yet.

    Attributes:
        head: The homework.
        n_learnt: Cases learnt, over all members.
        n_asked: Cases asked, over all members.
    """

    head: Head
    n_learnt: int
    n_asked: int


@dataclass(frozen=True, slots=True)
class GrownMixUp:
    """A finding of one case taken for another that happened again.

    Attributes:
        case: The case that came up.
        done: The case whose algorithm was made.
        n_more: Times since the desk was last opened.
    """

    case: CaseName
    done: CaseName
    n_more: int


@dataclass(frozen=True, slots=True)
class NextLesson:
    """The next lesson of a club.

    Attributes:
        id: Its number.
        title: Its title.
        on: Its day.
        n_cases: Cases in it.
    """

    id: int
    title: str
    on: date
    n_cases: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DeskReport:
    """What a coach of a club finds since they last opened the desk.

    Attributes:
        view: The club and its members as the coach sees them.
        since_at: When the desk was last opened; a week ago for the first time.
        zone: Time zone of the club, an IANA name.
        logged: Members whose logs came in since, by name.
        n_solves: Rows taken of those logs.
        ready: Homework cases that are learnt and wait to be shown.
        shown: Homework cases that a coach was shown since.
        verified: Homework cases that solves verified since.
        together: Homework cases that member and coach should look at together.
        due: Homework whose date is near or past.
        grown: Mix-ups that happened again since.
        quiet: Members whose newest log is weeks old, or who sent none.
        joined: Names of those who joined since.
        n_unshared: How many in the club do not show their log to the coach.
        n_waiting: The coach's own files that wait to be told which column is what.
        next_lesson: The next lesson; null where none is planned.
        mix_ups: Times of each mix-up now, by a key of ours, for the next time.
    """

    view: ClubView
    since_at: datetime
    zone: ZoneInfo
    logged: tuple[MemberLog, ...]
    n_solves: int
    ready: tuple[CaseOfMember, ...]
    shown: tuple[CaseOfMember, ...]
    verified: tuple[CaseOfMember, ...]
    together: tuple[CaseOfMember, ...]
    due: tuple[DueHomework, ...]
    grown: tuple[GrownMixUp, ...]
    quiet: tuple[MemberLog, ...]
    joined: tuple[str, ...]
    n_unshared: int
    n_waiting: int
    next_lesson: NextLesson | None
    mix_ups: Mapping[str, int]


def first_coached_club(*, actor: User) -> str:
    """The slug of the first by name of the clubs that the actor coaches; empty for none."""
    clubs = coached_clubs(actor=actor)
    return clubs[0].slug if clubs else ""


def desk_report(
    *,
    sight: ClubSight,
    since: datetime,
    mix_ups_before: Mapping[str, int] | None,
    now: datetime,
) -> DeskReport:
    """The desk of a club.

    Args:
        sight: What the coach may read in the club.
        since: When they last opened it.
        mix_ups_before: Times of each mix-up then; None where that is not known.
        now: The present.

    Raises:
        NotFoundError: The reader does not coach the club.
    """
    if not sight.is_coach:
        raise NotFoundError("club")
    logs = logs_since(sight=sight, since=since)
    members = [
        MemberLog(one, log.n_solves, log.last_at)
        if (log := logs.get(one.user_id))
        else MemberLog(one, 0, None)
        for one in sight.members
    ]
    logged = tuple(one for one in members if one.last_at is not None and one.last_at >= since)
    mistaken = club_mistaken_report(view=sight).lines.other_case
    homework, due = _homework(sight, now)
    return DeskReport(
        view=sight,
        since_at=since,
        zone=sight.zone,
        logged=logged,
        n_solves=sum(one.n_solves for one in logged),
        ready=_cases(homework, lambda case: case.state is CaseState.READY),
        shown=_cases(homework, lambda case: _is_since(case.learn.shown_at, since)),
        verified=_cases(homework, lambda case: _is_since(case.solves.verified_at, since)),
        together=_cases(homework, lambda case: case.state is CaseState.TOGETHER),
        due=due,
        grown=_grown(mistaken, mix_ups_before),
        quiet=tuple(
            one
            for one in members
            if not one.member.is_own and (one.last_at is None or one.last_at < now - QUIET_AFTER)
        ),
        joined=tuple(one.display_name for one in joined_since(sight=sight, since=since)),
        n_unshared=unshared_count(sight=sight),
        n_waiting=len(draft_list(actor=sight.reader, now=now)),
        next_lesson=_next_lesson(sight, now),
        mix_ups={_key(line): line.n_events for line in mistaken},
    )


Followed = list[tuple[int, MemberProgress]]
"""The number of a homework, and how far a member is with it."""


def _homework(sight: ClubSight, now: datetime) -> tuple[Followed, tuple[DueHomework, ...]]:
    """How far everybody is with what is open, and what is due."""
    homework = [
        one
        for one in homework_list(actor=sight.reader, club=sight.club_row)
        if one.closed_at is None
    ]
    members = memberships_shown(actor=sight.reader, homework=homework)
    progress = Progress(sight.reader, homework, members, None)
    followed: Followed = []
    due = []
    last_on = (now + DUE_WITHIN).astimezone(sight.zone).date()
    for one in homework:
        of_members = progress.of_all(one)
        followed += [(one.pk, member) for member in of_members]
        n_asked = sum(member.n_asked for member in of_members)
        n_learnt = sum(member.n_learnt for member in of_members)
        if one.due_on is not None and one.due_on <= last_on and n_learnt < n_asked:
            due.append(DueHomework(head_of(one, now), n_learnt, n_asked))
    return followed, tuple(due)


def _cases(followed: Followed, fits: Callable[[CaseProgress], bool]) -> tuple[CaseOfMember, ...]:
    """The cases that fit, each once a member: in the newest homework that asks for it."""
    cases: dict[tuple[int, str], CaseOfMember] = {}
    for homework_id, member in followed:
        for case in member.cases:
            if fits(case):
                line = CaseOfMember(homework_id, member.membership_id, member.name, case.case)
                cases.setdefault((member.membership_id, case.case.code), line)
    return tuple(cases.values())


def _is_since(at: datetime | None, since: datetime) -> bool:
    return at is not None and at >= since


def _key(line: MistakenLine) -> str:
    return f"{line.case.stage}-{line.case.number}>{line.done.stage}-{line.done.number}"


def _grown(
    lines: tuple[MistakenLine, ...], before: Mapping[str, int] | None
) -> tuple[GrownMixUp, ...]:
    if before is None:
        return ()
    return tuple(
        GrownMixUp(line.case, line.done, line.n_events - before.get(_key(line), 0))
        for line in lines
        if line.n_events > before.get(_key(line), 0)
    )


def _next_lesson(sight: ClubSight, now: datetime) -> NextLesson | None:
    today = now.astimezone(sight.zone).date()
    coming = [
        one for one in lesson_list(actor=sight.reader, club=sight.club_row) if one.on >= today
    ]
    if not coming:
        return None
    first = min(coming, key=lambda one: (one.on, one.pk))
    return NextLesson(first.pk, first.title, first.on, len(first.cases.all()))
