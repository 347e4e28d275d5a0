"""Homework for those it was set for, and for the coaches of their clubs."""

from collections import Counter
from collections.abc import Collection
from dataclasses import replace
from datetime import datetime

from clubsite.accounts.models import User
from cubecore.cases import CASES
from logs.errors import NotFoundError
from logs.homework.figures import usual_week
from logs.homework.models import Homework
from logs.homework.report.data import (
    DONE,
    AssignmentReport,
    CaseState,
    ClubHomework,
    HiddenMember,
    HomeworkLine,
    HomeworkReport,
    MemberChoice,
    MemberProgress,
    OpenHomework,
    OwnHomework,
)
from logs.homework.report.effect import effect_report
from logs.homework.report.progress import (
    Progress,
    asked_rows,
    assignment_for,
    case_id_of,
    case_name,
    head_of,
)
from logs.homework.selectors import (
    homework_asked,
    homework_get,
    homework_list,
    memberships_asked,
    memberships_shown,
    weekly_counts_of,
)
from logs.homework.services import can_take_back
from logs.people.models import MOST_PRACTICE, Club, Membership
from logs.people.sight import (
    ClubGroup,
    ClubName,
    coached_club_get,
    coached_clubs,
    coaches,
    members_visible,
)
from logs.solves.selectors.frames import sighting_frame


def own_homework(*, actor: User, now: datetime) -> OwnHomework:
    """What is asked of the actor in all their clubs."""
    asked = homework_asked(actor=actor)
    visible = memberships_shown(actor=actor, homework=asked)
    by_club = {member.club_id: member for member in visible if member.user_id == actor.pk}
    progress = Progress(actor, asked, list(by_club.values()), now)
    return OwnHomework(
        open=tuple(
            AssignmentReport(
                head_of(homework, now), progress.of(homework, by_club[homework.club_id]), False
            )
            for homework in asked
            if homework.closed_at is None
        ),
        closed=tuple(
            _line(homework, now, [progress.of(homework, by_club[homework.club_id])])
            for homework in asked
            if homework.closed_at is not None
        ),
        coached=tuple(ClubName(club.name, club.slug) for club in coached_clubs(actor=actor)),
    )


def club_homework(
    *, actor: User, slug: str, now: datetime, group: ClubGroup | None = None
) -> ClubHomework:
    """All homework of a club, counted over all members or those of a group.

    Raises:
        NotFoundError: The club is not the actor's to coach.
    """
    club = coached_club_get(actor=actor, slug=slug)
    homework = homework_list(actor=actor, club=club)
    members = memberships_shown(actor=actor, homework=homework)
    if group is not None:
        members = [member for member in members if member.pk in group.membership_ids]
    progress = Progress(actor, homework, members, now)
    lines = [(one.closed_at is None, _line(one, now, progress.of_all(one))) for one in homework]
    return ClubHomework(
        club=ClubName(club.name, club.slug),
        open=tuple(line for is_open, line in lines if is_open),
        closed=tuple(line for is_open, line in lines if not is_open),
        practice_cap=club.practice_cap,
        most_practice=MOST_PRACTICE,
        membership_ids=tuple(member.pk for member in members),
    )


def homework_report(*, actor: User, homework_id: int, now: datetime) -> HomeworkReport:
    """A homework with all its members, for a coach.

    Raises:
        NotFoundError: There is none, or the actor does not coach its club.
    """
    homework = homework_get(actor=actor, homework_id=homework_id)
    if not coaches(actor=actor, club_id=homework.club_id):
        raise NotFoundError("homework")
    visible = memberships_shown(actor=actor, homework=[homework])
    everyone = memberships_asked(homework=[homework])
    seen = {member.pk for member in visible}
    lesson = getattr(homework, "lesson", None)
    return HomeworkReport(
        head=head_of(homework, now),
        members=tuple(Progress(actor, [homework], visible, now).of_all(homework)),
        hidden=tuple(_hidden(homework, member) for member in everyone if member.pk not in seen),
        lesson_id=lesson.pk if lesson else None,
        can_take_back=can_take_back(homework, now),
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
            progress = Progress(actor, [homework], [member], now).of(homework, member)
            told = _with_effects(actor, homework, member.user, progress)
            return AssignmentReport(head_of(homework, now), told, is_coach)
    raise NotFoundError("member")


def _with_effects(
    actor: User, homework: Homework, member: User, progress: MemberProgress
) -> MemberProgress:
    """The progress of a member whose log the actor may read, each case with its before and since."""
    sightings = sighting_frame(actor=actor, member=member)
    asked = {
        (case.stage, case.case) for one in homework_asked(actor=member) for case in one.cases.all()
    }
    cases = []
    for progress_of_case in progress.cases:
        case = CASES[case_id_of(progress_of_case.case.code)]
        effect = effect_report(
            sightings,
            case,
            set_at=progress_of_case.asked_at,
            until=homework.closed_at,
            asked={name for stage, name in asked if stage == case.id.stage.value},
        )
        cases.append(replace(progress_of_case, effect=effect))
    return replace(progress, cases=tuple(cases))


def open_codes(*, actor: User, member: User, membership: Membership | None) -> set[str]:
    """Codes of the cases that a member is at: asked for, and neither verified nor excused.

    Args:
        actor: Who asks, and may read the member's log.
        member: Whose.
        membership: Whose coach asks; None for the member's own page.
    """
    homework = [
        one
        for one in homework_asked(actor=member)
        if one.closed_at is None and (membership is None or one.club_id == membership.club_id)
    ]
    visible = memberships_shown(actor=actor, homework=homework)
    members = [one for one in visible if one.user_id == member.pk]
    progress = Progress(actor, homework, members, None)
    return {
        case.case.code
        for one in homework
        for m in members
        if m.club_id == one.club_id
        for case in progress.of(one, m).cases
        if case.state not in DONE
    }


def homework_open(
    *, actor: User, club: Club, everyone: Collection[Membership], visible: Collection[Membership]
) -> dict[int, OpenHomework]:
    """The open homework of a club's people whom any is asked of, by membership.

    Args:
        actor: A coach of the club.
        club: The club.
        everyone: Whose.
        visible: Those of them whose logs the actor may read.
    """
    homework = [one for one in homework_list(actor=actor, club=club) if one.closed_at is None]
    progress = Progress(actor, homework, list(visible), None)
    seen = {member.pk for member in visible}
    asked: Counter[int] = Counter()
    learnt: Counter[int] = Counter()
    for one in homework:
        for part in progress.of_all(one):
            asked[part.membership_id] += part.n_asked
            learnt[part.membership_id] += part.n_learnt
        assigned = {assignment.member_id for assignment in one.assignments.all()}
        for member in everyone:
            if member.pk not in seen and member.user_id in assigned:
                n_asked, n_shown = _set_and_shown(one, member)
                asked[member.pk] += n_asked
                learnt[member.pk] += n_shown
    return {
        pk: OpenHomework(n, learnt[pk] if pk in seen else None, n - learnt[pk])
        for pk, n in asked.items()
        if n
    }


def _set_and_shown(homework: Homework, member: Membership) -> tuple[int, int]:
    """How many cases a homework asks of a member, and how many of them a coach was shown."""
    assignment = assignment_for(homework, member)
    excused = {(one.stage, one.case) for one in assignment.excuses.all()}
    rows = [row for row in assignment.cases.all() if (row.stage, row.case) not in excused]
    return len(rows), sum(row.shown_at is not None for row in rows)


def member_choices(*, actor: User, slug: str, now: datetime) -> tuple[MemberChoice, ...]:
    """Whom homework can be for in a club: everyone in it.

    Raises:
        NotFoundError: The club is not the actor's to coach.
    """
    club = coached_club_get(actor=actor, slug=slug)
    members = list(club.memberships.select_related("user").order_by("display_name", "id"))
    visible_members = members_visible(actor=actor, club=club)
    open_ = homework_open(actor=actor, club=club, everyone=members, visible=visible_members)
    counts = weekly_counts_of(members=visible_members, now=now)
    visible = {member.pk for member in visible_members}
    return tuple(
        MemberChoice(
            membership_id=member.pk,
            name=member.display_name,
            is_visible=member.pk in visible,
            n_open=open_[member.pk].n_left if member.pk in open_ else 0,
            per_week=usual_week(counts[member.user_id]) if member.pk in visible else None,
        )
        for member in members
    )


def _hidden(homework: Homework, member: Membership) -> HiddenMember:
    rows = asked_rows(homework, assignment_for(homework, member))
    return HiddenMember(
        membership_id=member.pk,
        name=member.display_name,
        cases=tuple(map(case_name, rows)),
        shown=tuple(case_name(row).code for row in rows if row.shown_at is not None),
    )


def _line(homework: Homework, now: datetime, members: Collection[MemberProgress]) -> HomeworkLine:
    return HomeworkLine(
        head=head_of(homework, now),
        n_members=len(homework.assignments.all()),
        n_asked=sum(member.n_asked for member in members),
        n_learnt=sum(member.n_learnt for member in members),
        n_verified=sum(member.n_verified for member in members),
        n_together=sum(
            case.state is CaseState.TOGETHER for member in members for case in member.cases
        ),
    )
