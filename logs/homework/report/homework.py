"""The club a coach's page belongs to, as the tabs of a club's pages name it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from logs.algorithms.report import TaughtCase
from logs.errors import NotFoundError
from logs.homework.models import Homework
from logs.homework.report.effect import effect_line
from logs.homework.report.progress import (
    EXCUSED,
    MemberProgress,
    Progress,
    asked_of,
    cases_of,
    taught_of,
)
from logs.homework.selectors import homework_asked, homework_get, homework_list, memberships_shown
from logs.homework.services import day_words
from logs.homework.words import goal_words
from logs.people.models import MOST_PRACTICE, Membership
from logs.people.sight import ClubName, coached_club_get, coached_clubs, coaches
from logs.solves.selectors.frames import sighting_frame
from logs.stats.adoption import AdoptionState
from logs.words import find_case


@dataclass(frozen=True, slots=True)
class Desk:
    """What the tabs of a club read, on a page that only its coaches have."""

    club: ClubName
    is_coach: bool = True


@dataclass(frozen=True, slots=True)
class Head:
    """What a homework is, without how far it is."""

    id: int
    club: str
    set_on: str
    due_on: str
    is_due_past: bool
    goal: str
    note: str
    titles: tuple[str, ...]
    closed_on: str
    close_reason: str


@dataclass(frozen=True, slots=True)
class HomeworkLine:
    """A homework on a line: how many of its members' cases are verified, how many want a look."""

    head: Head
    n_members: int
    n_verified: int
    n_asked: int
    n_look: int


@dataclass(frozen=True, slots=True)
class HomeworkReport:
    """A homework as a coach sees it; ``n_hidden`` members show them their log no more."""

    view: Desk
    head: Head
    cases: tuple[TaughtCase, ...]
    members: tuple[MemberProgress, ...]
    n_hidden: int
    lesson_id: int | None


@dataclass(frozen=True, slots=True)
class AssignmentReport:
    """One member's part of a homework, as they or their coach see it."""

    head: Head
    member: MemberProgress
    is_coach: bool


@dataclass(frozen=True, slots=True)
class ClubHomework:
    """All homework of a club, open and closed; ``membership_ids`` are whose counts it sums.

    ``practice_cap`` is the most practice a day, ``most_practice`` the most that may be chosen.
    """

    view: Desk
    membership_ids: tuple[int, ...]
    open: tuple[HomeworkLine, ...]
    closed: tuple[HomeworkLine, ...]
    practice_cap: int
    most_practice: int


@dataclass(frozen=True, slots=True)
class OwnHomework:
    """What is asked of the reader, and the clubs where they set homework."""

    open: tuple[AssignmentReport, ...]
    closed: tuple[HomeworkLine, ...]
    coached: tuple[tuple[str, str], ...]


def own_homework(*, actor: User, now: datetime) -> OwnHomework:
    """What is asked of the actor in all their clubs."""
    asked = homework_asked(actor=actor)
    shown = memberships_shown(actor=actor, homework=asked)
    own = {member.club_id: member for member in shown if member.user_id == actor.pk}
    read = Progress(actor, asked, list(own.values()))
    is_open = [one for one in asked if one.closed_at is None]
    return OwnHomework(
        open=tuple(
            AssignmentReport(_head(one, now), read.of(one, own[one.club_id]), False)
            for one in is_open
        ),
        closed=tuple(
            _line(one, now, [read.of(one, own[one.club_id])])
            for one in asked
            if one.closed_at is not None
        ),
        coached=tuple((club.name, club.slug) for club in coached_clubs(actor=actor)),
    )


def club_homework(*, actor: User, slug: str, now: datetime) -> ClubHomework:
    """All homework of a club.

    Raises:
        NotFoundError: The club is not the actor's to coach.
    """
    club = coached_club_get(actor=actor, slug=slug)
    homework = homework_list(actor=actor, club=club)
    read = Progress(actor, homework, memberships_shown(actor=actor, homework=homework))
    lines = [(one.closed_at is None, _line(one, now, read.of_all(one))) for one in homework]
    return ClubHomework(
        Desk(ClubName(club.name, club.slug)),
        membership_ids=tuple(member.pk for member in read.members),
        open=tuple(line for is_open, line in lines if is_open),
        closed=tuple(line for is_open, line in lines if not is_open),
        practice_cap=club.practice_cap,
        most_practice=MOST_PRACTICE,
    )


def homework_report(*, actor: User, homework_id: int, now: datetime) -> HomeworkReport:
    """A homework with all its members, for a coach.

    Raises:
        NotFoundError: There is none, or the actor does not coach its club.
    """
    homework = homework_get(actor=actor, homework_id=homework_id)
    if not coaches(actor=actor, club_id=homework.club_id):
        raise NotFoundError("homework")
    read = Progress(actor, [homework], memberships_shown(actor=actor, homework=[homework]))
    members = tuple(read.of_all(homework))
    lesson = getattr(homework, "lesson", None)
    return HomeworkReport(
        view=Desk(ClubName(homework.club.name, homework.club.slug)),
        head=_head(homework, now),
        cases=tuple(map(taught_of, cases_of(homework))),
        members=members,
        n_hidden=len(homework.assignments.all()) - len(members),
        lesson_id=lesson.pk if lesson else None,
    )


def assignment_report(
    *, actor: User, homework_id: int, membership_id: int | None, now: datetime
) -> AssignmentReport:
    """One member's part of a homework; the actor's own when no member is named.

    Raises:
        NotFoundError: There is none, or it is not the actor's to see.
    """
    homework = homework_get(actor=actor, homework_id=homework_id)
    is_coach = coaches(actor=actor, club_id=homework.club_id)
    for member in memberships_shown(actor=actor, homework=[homework]):
        is_own = member.user_id == actor.pk
        is_meant = is_own if membership_id is None else member.pk == membership_id
        if is_meant and (is_own or is_coach):
            progress = Progress(actor, [homework], [member]).of(homework, member)
            told = with_effects(actor, homework, member.user, progress)
            return AssignmentReport(_head(homework, now), told, is_coach)
    raise NotFoundError("member")


def with_effects(
    actor: User, homework: Homework, member: User, progress: MemberProgress
) -> MemberProgress:
    """The progress of a member whose log the actor may read, each case with its before and since."""
    sightings = sighting_frame(actor=actor, member=member)
    asked = {
        (case.stage, case.case) for one in homework_asked(actor=member) for case in one.cases.all()
    }
    cases = []
    for case in progress.cases:
        known = find_case(case.taught.stage, case.taught.number)
        assert known is not None  # held by a constraint
        line = effect_line(
            sightings,
            known,
            set_at=homework.set_at,
            until=homework.closed_at,
            asked={name for stage, name in asked if stage == case.taught.stage},
            zone=ZoneInfo(homework.club.time_zone),
        )
        cases.append(replace(case, effect=line))
    return replace(progress, cases=tuple(cases))


def open_codes(*, actor: User, member: User, membership: Membership | None) -> set[str]:
    """Codes of the cases that a member is at: asked for, and neither verified nor excused.

    Args:
        actor: Who asks, and may read the member's log.
        member: Whose.
        membership: Whose coach asks; None for the member's own page.
    """
    if membership is None:
        homework = homework_asked(actor=member)
    else:
        mine = homework_asked(actor=member)
        homework = [one for one in mine if one.club_id == membership.club_id]
    homework = [one for one in homework if one.closed_at is None]
    shown = [m for m in memberships_shown(actor=actor, homework=homework) if m.user_id == member.pk]
    read = Progress(actor, homework, shown)
    return {
        case.taught.code
        for one in homework
        for m in shown
        if m.club_id == one.club_id
        for case in read.of(one, m).cases
        if case.state not in {AdoptionState.VERIFIED, EXCUSED}
    }


def _head(homework: Homework, now: datetime) -> Head:
    zone = ZoneInfo(homework.club.time_zone)
    due = homework.due_on
    closed = homework.closed_at
    return Head(
        id=homework.pk,
        club=homework.club.name,
        set_on=day_words(homework.set_at.astimezone(zone).date()),
        due_on=day_words(due) if due else "",
        is_due_past=due is not None and due < now.astimezone(zone).date(),
        goal=goal_words(asked_of(homework)),
        note=homework.note,
        titles=tuple(taught_of(case).title for case in cases_of(homework)),
        closed_on=day_words(closed.astimezone(zone).date()) if closed else "",
        close_reason=homework.close_reason,
    )


def _line(homework: Homework, now: datetime, members: Sequence[MemberProgress]) -> HomeworkLine:
    return HomeworkLine(
        head=_head(homework, now),
        n_members=len(homework.assignments.all()),
        n_verified=sum(member.n_verified for member in members),
        n_asked=sum(member.n_asked for member in members),
        n_look=sum(
            case.state == AdoptionState.ASK_COACH for member in members for case in member.cases
        ),
    )
