"""Homework set, changed, closed, taken back, excused; what people say of it. Sightings verify."""

from collections.abc import Collection, Iterable, Sequence
from datetime import datetime, timedelta
from secrets import token_urlsafe
from typing import Any

from django.core.exceptions import ValidationError
from django.core.signing import BadSignature, Signer
from django.db import transaction

from clubsite.accounts.models import User
from cubecore.cases import CASES, CaseId
from logs.errors import ConflictError, NotFoundError
from logs.homework.figures import DrillWord
from logs.homework.models import (
    Assignment,
    AssignmentCase,
    DrillAnswer,
    Excuse,
    Homework,
    HomeworkCase,
)
from logs.homework.plan import Change, Plan, check_cases, check_plan
from logs.homework.selectors import (
    CaseName,
    homework_coached_get,
    memberships_asked,
    memberships_shown,
)
from logs.people.models import Club, Membership
from logs.people.sight import coached_club_get

TAKE_BACK_WITHIN = timedelta(days=1)


@transaction.atomic
def homework_set(*, actor: User, slug: str, plan: Plan, now: datetime) -> Homework:
    """Set a homework for members of a club that ``actor`` coaches, whoever sees their logs.

    Raises:
        NotFoundError: The club is not theirs to coach, or somebody is not in it.
        ValidationError: The plan does not hold together.
    """
    club = coached_club_get(actor=actor, slug=slug)
    members = chosen_members(club=club, membership_ids=plan.membership_ids)
    check_plan(plan)
    homework = Homework(
        club=club,
        set_by=actor,
        set_at=now,
        due_on=plan.due_on,
        way=plan.way.value,
        n_wanted=plan.n_wanted,
        goal=plan.goal,
        recognition_target_ms=plan.recognition_target_ms,
        note=plan.note,
    )
    homework.full_clean()
    homework.save()
    _store_cases(homework, plan.cases)
    for member in members:
        _assign(homework, member, plan.own_cases.get(member.pk, plan.cases), now)
    return homework


def chosen_members(*, club: Club, membership_ids: Collection[int]) -> list[Membership]:
    """The chosen members of ``club``, by display name.

    Raises:
        NotFoundError: One of them is not in it.
        ValidationError: None was chosen.
    """
    if not membership_ids:
        raise ValidationError("Choose at least one member.")
    chosen = Membership.objects.filter(club=club, pk__in=membership_ids).select_related("user")
    members = list(chosen.order_by("display_name", "id"))
    if len(members) < len(set(membership_ids)):
        raise NotFoundError("member")
    return members


def _store_cases(homework: Homework, cases: Sequence[CaseId]) -> None:
    HomeworkCase.objects.filter(homework=homework).delete()
    HomeworkCase.objects.bulk_create(
        HomeworkCase(homework=homework, stage=case.stage.value, case=str(case.number), place=place)
        for place, case in enumerate(cases, start=1)
    )


def _assign(
    homework: Homework, member: Membership, cases: Sequence[CaseId], now: datetime
) -> Assignment:
    assignment = Assignment.objects.create(homework=homework, member_id=member.user_id)
    _ask(assignment, map(name_of, cases), now)
    return assignment


def _ask(assignment: Assignment, names: Iterable[CaseName], now: datetime) -> None:
    AssignmentCase.objects.bulk_create(
        AssignmentCase(assignment=assignment, stage=stage, case=case, asked_at=now)
        for stage, case in names
    )


def name_of(case: CaseId) -> CaseName:
    """Stage and number or letters of a case, as the tables hold them."""
    return case.stage.value, str(case.number)


@transaction.atomic
def homework_edit(*, actor: User, homework_id: int, change: Change, now: datetime) -> Homework:
    """Change the cases, members, date and words of an open homework.

    What a case gathered stays with it. A case that comes new is asked of everybody, and counts
    from now on.

    Raises:
        NotFoundError: It is not of a club that ``actor`` coaches, or somebody is not in that club.
        ConflictError: It is closed.
        ValidationError: The change does not hold together.
    """
    homework = _open_homework(actor, homework_id, "This homework is closed and stays as it was.")
    members = chosen_members(club=homework.club, membership_ids=change.membership_ids)
    check_cases(change.cases)
    before = {(case.stage, case.case) for case in homework.cases.all()}
    names = [name_of(case) for case in change.cases]
    homework.due_on, homework.note = change.due_on, change.note
    homework.full_clean()
    homework.save(update_fields=["due_on", "note"])
    _store_cases(homework, change.cases)
    assignments = {one.member_id: one for one in homework.assignments.all()}
    chosen = {member.user_id for member in members}
    for user_id, assignment in assignments.items():
        if user_id not in chosen:
            assignment.delete()
            continue
        for model in (AssignmentCase, Excuse):
            for row in model.objects.filter(assignment=assignment):
                if (row.stage, row.case) not in names:
                    row.delete()
        _ask(assignment, [name for name in names if name not in before], now)
    for member in members:
        if member.user_id not in assignments:
            _assign(homework, member, change.cases, now)
    return homework


def _open_homework(actor: User, homework_id: int, refusal: str) -> Homework:
    homework = homework_coached_get(actor=actor, homework_id=homework_id)
    if homework.closed_at is not None:
        raise ConflictError(refusal)
    return homework


@transaction.atomic
def homework_close(*, actor: User, homework_id: int, reason: str, now: datetime) -> Homework:
    """Close a homework: later solves no longer count for it. What was verified stays.

    Raises:
        NotFoundError: It is not of a club that ``actor`` coaches.
        ConflictError: It is closed already.
        ValidationError: There is no reason.
    """
    homework = _open_homework(
        actor, homework_id, "This homework is closed already; its reason stands below."
    )
    if not reason.strip():
        raise ValidationError("Say why it is closed; members read it.")
    homework.closed_at, homework.closed_by, homework.close_reason = now, actor, reason.strip()
    homework.full_clean()
    homework.save(update_fields=["closed_at", "closed_by", "close_reason"])
    return homework


@transaction.atomic
def homework_take_back(*, actor: User, homework_id: int, now: datetime) -> None:
    """Take back a homework that was set within the last day, as if it had never been set.

    Raises:
        NotFoundError: It is not of a club that ``actor`` coaches.
        ConflictError: It was set more than a day ago.
    """
    homework = homework_coached_get(actor=actor, homework_id=homework_id)
    if not can_take_back(homework, now):
        raise ConflictError(
            "This homework was set more than a day ago. Close it instead: members read why."
        )
    homework.delete()


def can_take_back(homework: Homework, now: datetime) -> bool:
    """Whether a homework was set within the last day."""
    return now - homework.set_at <= TAKE_BACK_WITHIN


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
        ValidationError: There is no reason, or a case is not asked of the member.
    """
    homework = _open_homework(
        actor, homework_id, "This homework is closed; nobody needs to be excused from it."
    )
    members = memberships_shown(actor=actor, homework=[homework])
    assignment = _assignment_of(homework, members, membership_id)
    if not reason.strip():
        raise ValidationError("Say why; the member reads it.")
    excused = {(excuse.stage, excuse.case) for excuse in assignment.excuses.all()}
    excuses = []
    for case in _asked_rows(assignment, cases):
        if (case.stage, case.case) not in excused:
            excuse = Excuse(
                assignment=assignment,
                stage=case.stage,
                case=case.case,
                by=actor,
                at=now,
                reason=reason.strip(),
            )
            excuse.full_clean()
            excuse.save()
            excuses.append(excuse)
    return excuses


def _asked_rows(assignment: Assignment, cases: Sequence[CaseId]) -> list[AssignmentCase]:
    """The rows of cases that are asked of the member."""
    if not cases:
        raise ValidationError("Choose at least one case.")
    asked = {(case.stage, case.case): case for case in assignment.cases.all()}
    for case in cases:
        if name_of(case) not in asked:
            raise ValidationError(f"{CASES[case]} is no part of this homework.")
    return [asked[name_of(case)] for case in dict.fromkeys(cases)]


def _assignment_of(
    homework: Homework, members: Sequence[Membership], membership_id: int
) -> Assignment:
    for member in members:
        if member.pk == membership_id:
            return next(a for a in homework.assignments.all() if a.member_id == member.user_id)
    raise NotFoundError("member")


@transaction.atomic
def cases_mark_shown(
    *,
    actor: User,
    homework_id: int,
    membership_id: int,
    cases: Sequence[CaseId],
    is_shown: bool,
    now: datetime,
) -> None:
    """Keep a coach's word that a member showed them cases, or take it back.

    Raises:
        NotFoundError: The homework is not the actor's to coach, or was not set for the member.
        ConflictError: The homework is closed.
        ValidationError: A case is not asked of the member.
    """
    homework = _open_homework(actor, homework_id, "This homework is closed and stays as it was.")
    members = memberships_asked(homework=[homework])
    assignment = _assignment_of(homework, members, membership_id)
    for case in _asked_rows(assignment, cases):
        if is_shown is (case.shown_at is None):
            case.shown_at, case.shown_to = (now, actor) if is_shown else (None, None)
            case.save(update_fields=["shown_at", "shown_to"])


_signer = Signer(salt="logs.homework.drill")


def drill_seal(*, actor: User, case: CaseId, scramble: str) -> str:
    """A dealt drill as text that only this site can make; it comes back with the member's word."""
    stage, number = name_of(case)
    return _signer.sign_object(
        {
            "member": actor.pk,
            "key": token_urlsafe(18),
            "stage": stage,
            "case": number,
            "scramble": scramble,
        }
    )


@transaction.atomic
def drill_answer(
    *,
    actor: User,
    seal: str,
    word: DrillWord,
    n_left: int,
    now: datetime,
    time_ms: int | None = None,
) -> DrillAnswer:
    """Keep how a drill went, by the member's own word; the same drill answered again is not kept.

    Args:
        actor: Who did it.
        seal: The text of `drill_seal` that came with the drill.
        word: How it went.
        n_left: Drills that the day still holds.
        now: The time.
        time_ms: How long it took, as they wrote it.

    Raises:
        NotFoundError: The drill is not one that the site dealt the actor.
        ConflictError: The day's drills are done.
    """
    try:
        dealt: dict[str, Any] = _signer.unsign_object(seal)
    except BadSignature as error:
        raise NotFoundError("drill") from error
    if dealt["member"] != actor.pk:
        raise NotFoundError("drill")
    before = DrillAnswer.objects.filter(member=actor, drill=dealt["key"]).first()
    if before is not None:
        return before
    if n_left < 1:
        raise ConflictError("That is enough for today. Rest your hands; this one does not count.")
    return DrillAnswer.objects.create(
        member=actor,
        drill=dealt["key"],
        at=now,
        stage=dealt["stage"],
        case=dealt["case"],
        scramble=dealt["scramble"],
        word=word.value,
        time_ms=time_ms,
    )
