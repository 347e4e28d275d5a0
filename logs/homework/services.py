"""Homework set, closed, excused. No service says that a case is done: sightings alone do."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import transaction

from clubsite.accounts.models import User
from cubecore.cases import CASES, CaseId
from logs.errors import ConflictError, DueDateError, NotFoundError
from logs.homework.due_dates import Need, solves_needed
from logs.homework.figures import FEWEST_SIGHTINGS, Forecast, forecast
from logs.homework.models import Assignment, Excuse, Goal, Homework, HomeworkCase
from logs.homework.selectors import homework_coached_get, memberships_shown, weekly_counts_of
from logs.people.models import Club, Membership
from logs.people.sight import coached_club_get, members_visible

MAX_CASES = 20
"""Cases of one homework or one lesson."""


@dataclass(frozen=True, slots=True)
class Plan:
    """A homework before it is set.

    Attributes:
        cases: In the order to be shown, each once.
        membership_ids: The members it is for, of one club.
        goal: What is asked of each case, a value of `Goal`.
        recognition_target_ms: The target, for a goal that has one.
        due_on: The date, or None for none.
        note: The coach's words, or empty.
    """

    cases: tuple[CaseId, ...]
    membership_ids: tuple[int, ...]
    goal: str = Goal.ONE_LOOK.value
    recognition_target_ms: int | None = None
    due_on: date | None = None
    note: str = ""


def homework_forecast(
    *, actor: User, slug: str, plan: Plan, now: datetime
) -> list[tuple[Membership, Forecast]]:
    """What the due date of ``plan`` means for each of its members, before anything is set.

    Raises:
        NotFoundError: The club is not coached by ``actor``, or a member's log not theirs to read.
        ValidationError: The plan has no case, or no member, or a case twice.
    """
    club = coached_club_get(actor=actor, slug=slug)
    members = chosen_members(actor=actor, club=club, membership_ids=plan.membership_ids)
    _check_plan(plan)
    n_solves = solves_needed(needs_of(plan.cases))
    counts = weekly_counts_of(
        actor=actor, club=club, now=now, is_timed=plan.recognition_target_ms is not None
    )
    today = now.astimezone(ZoneInfo(club.time_zone)).date()
    return [
        (
            member,
            forecast(n_solves, counts=counts[member.user_id], today=today, due_on=plan.due_on),
        )
        for member in members
    ]


@transaction.atomic
def homework_set(*, actor: User, slug: str, plan: Plan, now: datetime) -> Homework:
    """Set a homework for members of a club that ``actor`` coaches.

    Raises:
        NotFoundError: The club is not theirs to coach, or a member's log not theirs to read.
        ValidationError: The plan does not hold together.
        DueDateError: Chance alone would break the date for some member in over 20 % of cases.
    """
    ahead = homework_forecast(actor=actor, slug=slug, plan=plan, now=now)
    if plan.due_on is not None and any(not one.is_fair for _, one in ahead):
        raise DueDateError(_refusal(plan, ahead))
    members = [member for member, _ in ahead]
    homework = Homework(
        club=members[0].club,
        set_by=actor,
        set_at=now,
        due_on=plan.due_on,
        goal=plan.goal,
        recognition_target_ms=plan.recognition_target_ms,
        note=plan.note,
    )
    homework.full_clean()
    homework.save()
    HomeworkCase.objects.bulk_create(
        HomeworkCase(homework=homework, stage=case.stage.value, case=str(case.number), place=place)
        for place, case in enumerate(plan.cases, start=1)
    )
    Assignment.objects.bulk_create(
        Assignment(homework=homework, member_id=member.user_id) for member in members
    )
    return homework


def chosen_members(*, actor: User, club: Club, membership_ids: Sequence[int]) -> list[Membership]:
    """The chosen members of ``club``, by display name.

    Raises:
        NotFoundError: One of them is not in it, or does not show ``actor`` their log.
        ValidationError: None was chosen.
    """
    if not membership_ids:
        raise ValidationError("Choose at least one member.")
    shown = {member.pk: member for member in members_visible(actor=actor, club=club)}
    if not shown.keys() >= set(membership_ids):
        raise NotFoundError("member")
    return [member for pk, member in shown.items() if pk in set(membership_ids)]


def needs_of(cases: Sequence[CaseId]) -> list[Need]:
    """The sightings that chance must bring, at the least, for the cases to be verified."""
    return [
        Need(CASES[case].chance / case.stage.chances_in, FEWEST_SIGHTINGS, case.stage.value)
        for case in cases
    ]


def _check_plan(plan: Plan) -> None:
    check_cases(plan.cases)
    if (plan.goal == Goal.ONE_LOOK) != (plan.recognition_target_ms is None):
        raise ValidationError(
            "A goal on recognition needs its target in seconds; one look alone has none."
        )


def check_cases(cases: Sequence[CaseId]) -> None:
    """Make sure that a list of cases can be taught.

    Raises:
        ValidationError: It is empty, too long, or names a case twice.
    """
    if not cases:
        raise ValidationError("Choose at least one case.")
    if len(cases) > MAX_CASES:
        raise ValidationError(f"There are {len(cases)} cases; take at most {MAX_CASES} at once.")
    twice = [case for case in cases if cases.count(case) > 1]
    if twice:
        raise ValidationError(f"{CASES[twice[0]]} is chosen twice; keep it once.")


def _refusal(plan: Plan, ahead: Sequence[tuple[Membership, Forecast]]) -> str:
    """Why the date was refused, for whom, and what would do."""
    assert plan.due_on is not None
    late = [(member, one) for member, one in ahead if not one.is_fair]
    said = [
        f"{day_words(plan.due_on)} is too soon. For each of these cases to come up"
        f" {FEWEST_SIGHTINGS} times it takes {late[0][1].n_solves} solves: enough four times in"
        " five."
    ]
    for member, one in late:
        if one.first_fair_on is None:
            said.append(
                f"{member.display_name} has weeks without any solve to read, so no date is safe."
            )
        else:
            said.append(
                f"{member.display_name}, with {one.pace:.0f} solves in a slow week: not before"
                f" {day_words(one.first_fair_on)}."
            )
    dates = [one.first_fair_on for _, one in late]
    known = [day for day in dates if day is not None]
    if len(known) == len(dates):
        said.append(f"{day_words(max(known))} would do for all.")
    else:
        said.append("Leave the date empty, or set homework for the others alone.")
    return " ".join(said)


def day_words(day: date) -> str:
    """A day: ``3 Mar 2026``."""
    return f"{day.day} {day:%b %Y}"


@transaction.atomic
def homework_close(*, actor: User, homework_id: int, reason: str, now: datetime) -> Homework:
    """Close a homework: later solves no longer count for it. What was found out stays.

    Raises:
        NotFoundError: It is not of a club that ``actor`` coaches.
        ConflictError: It is closed already.
        ValidationError: There is no reason.
    """
    homework = homework_coached_get(actor=actor, homework_id=homework_id)
    if homework.closed_at is not None:
        raise ConflictError("This homework is closed already; its reason stands below.")
    if not reason.strip():
        raise ValidationError("Say why it is closed; members read it.")
    homework.closed_at, homework.closed_by, homework.close_reason = now, actor, reason.strip()
    homework.full_clean()
    homework.save(update_fields=["closed_at", "closed_by", "close_reason"])
    return homework


@transaction.atomic
def assignment_excuse(
    *,
    actor: User,
    homework_id: int,
    membership_id: int,
    cases: Sequence[CaseId],
    reason: str,
    now: datetime,
) -> list[Excuse]:
    """Excuse a member from cases of a homework; cases excused before are left as they are.

    Raises:
        NotFoundError: The homework or the member is not the actor's to coach or to see.
        ConflictError: The homework is closed.
        ValidationError: There is no reason, or a case is not part of the homework.
    """
    homework = homework_coached_get(actor=actor, homework_id=homework_id)
    assignment = assignment_of(actor=actor, homework=homework, membership_id=membership_id)
    if homework.closed_at is not None:
        raise ConflictError("This homework is closed; nobody needs to be excused from it.")
    if not reason.strip():
        raise ValidationError("Say why; the member reads it.")
    if not cases:
        raise ValidationError("Choose at least one case.")
    asked = {(case.stage, case.case) for case in homework.cases.all()}
    known = {(excuse.stage, excuse.case) for excuse in assignment.excuses.all()}
    excuses = []
    for case in cases:
        name = (case.stage.value, str(case.number))
        if name not in asked:
            raise ValidationError(f"{CASES[case]} is no part of this homework.")
        if name not in known:
            excuse = Excuse(
                assignment=assignment,
                stage=name[0],
                case=name[1],
                by=actor,
                at=now,
                reason=reason.strip(),
            )
            excuse.full_clean()
            excuse.save()
            excuses.append(excuse)
    return excuses


def assignment_of(*, actor: User, homework: Homework, membership_id: int) -> Assignment:
    """The member's part of a homework.

    Raises:
        NotFoundError: It was not set for them, or they do not show ``actor`` their log.
    """
    for member in memberships_shown(actor=actor, homework=[homework]):
        if member.pk == membership_id:
            return next(a for a in homework.assignments.all() if a.member_id == member.user_id)
    raise NotFoundError("member")
