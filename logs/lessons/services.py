"""Lessons planned, changed, copied, deleted, and made into homework."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction

from clubsite.accounts.models import User
from cubecore.cases import CaseId
from logs.cases.facts import cases_by_code
from logs.errors import ConflictError
from logs.homework.models import Homework
from logs.homework.plan import Plan, check_cases
from logs.homework.report.data import DONE
from logs.homework.report.progress import Progress
from logs.homework.selectors import homework_list, memberships_shown
from logs.homework.services import chosen_members, homework_set
from logs.lessons.models import Lesson, LessonCase, LessonMember
from logs.lessons.report import codes_of, missing_of
from logs.lessons.selectors import CaseRecord, attendance_list, case_records, lesson_get
from logs.people.models import Membership
from logs.people.sight import coached_club_get

EACH_AT_MOST = 3
"""Cases of a lesson that its homework asks of one member."""


WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class LessonPlan:
    """What a lesson holds.

    Attributes:
        on: Its day.
        title: Its name.
        note: The coach's words, or empty.
        membership_ids: The members who will come, of one club.
        cases: In the order to be taught, each once, with why it is there.
        guests: Names of others who come, or empty.
    """

    on: date
    title: str
    note: str
    membership_ids: tuple[int, ...]
    cases: tuple[tuple[CaseId, str], ...]
    guests: str = ""


@transaction.atomic
def lesson_create(*, actor: User, slug: str, plan: LessonPlan) -> Lesson:
    """Plan a lesson in a club that ``actor`` coaches.

    Raises:
        NotFoundError: The club is not theirs to coach, or somebody is not in it.
        ValidationError: There is no title, nobody comes, no case, or a case twice.
    """
    club = coached_club_get(actor=actor, slug=slug)
    return _store(Lesson(club=club, by=actor), plan)


@transaction.atomic
def lesson_edit(*, actor: User, lesson_id: int, plan: LessonPlan) -> Lesson:
    """Change a lesson; the homework that was made of it stays as it was set.

    Raises:
        NotFoundError: It is not of a club that ``actor`` coaches, or somebody is not in that club.
        ValidationError: As for `lesson_create`.
    """
    return _store(lesson_get(actor=actor, lesson_id=lesson_id), plan)


def _store(lesson: Lesson, plan: LessonPlan) -> Lesson:
    guests = plan.guests.strip()
    members: list[Membership] = []
    if plan.membership_ids or not guests:
        members = chosen_members(club=lesson.club, membership_ids=plan.membership_ids)
    check_cases([case for case, _ in plan.cases])
    lesson.on, lesson.title, lesson.note = plan.on, plan.title.strip(), plan.note.strip()
    lesson.guests = guests
    lesson.full_clean()
    lesson.save()
    lesson.cases.all().delete()
    LessonCase.objects.bulk_create(
        LessonCase(
            lesson=lesson, stage=case.stage.value, case=str(case.number), place=place, reason=reason
        )
        for place, (case, reason) in enumerate(plan.cases, start=1)
    )
    users = [member.user_id for member in members]
    before = set(lesson.members.values_list("member", flat=True))
    lesson.members.exclude(member__in=users).delete()
    LessonMember.objects.bulk_create(
        LessonMember(lesson=lesson, member_id=user) for user in users if user not in before
    )
    return lesson


@transaction.atomic
def lesson_delete(*, actor: User, lesson_id: int) -> None:
    """Delete a lesson; homework that was set from it stays.

    Raises:
        NotFoundError: It is not of a club that ``actor`` coaches.
    """
    lesson_get(actor=actor, lesson_id=lesson_id).delete()


@transaction.atomic
def lesson_copy(*, actor: User, lesson_id: int, is_for_missing: bool = False) -> Lesson:
    """Plan a lesson again a week later: for all who were to come, or for those who were missing.

    Raises:
        NotFoundError: It is not of a club that ``actor`` coaches.
        ValidationError: It is for those who were missing, and nobody was.
    """
    lesson = lesson_get(actor=actor, lesson_id=lesson_id)
    users = [row.member_id for row in lesson.members.all() if row.is_missing or not is_for_missing]
    if is_for_missing and not users:
        raise ValidationError("Nobody was missing: tick who was, and keep that first.")
    copy = Lesson.objects.create(
        club=lesson.club,
        by=actor,
        on=lesson.on + WEEK,
        title=lesson.title,
        note=lesson.note,
        guests="" if is_for_missing else lesson.guests,
    )
    LessonCase.objects.bulk_create(
        LessonCase(lesson=copy, stage=c.stage, case=c.case, place=c.place, reason=c.reason)
        for c in lesson.cases.all()
    )
    LessonMember.objects.bulk_create(LessonMember(lesson=copy, member_id=user) for user in users)
    return copy


@transaction.atomic
def missing_mark(*, actor: User, lesson_id: int, membership_ids: Collection[int]) -> Lesson:
    """Keep who of those who were to come to a lesson was missing; the others came.

    Raises:
        NotFoundError: It is not of a club that ``actor`` coaches.
    """
    lesson = lesson_get(actor=actor, lesson_id=lesson_id)
    everyone = attendance_list(club=lesson.club)
    users = {member.user_id for member in everyone if member.pk in set(membership_ids)}
    lesson.members.update(is_missing=False)
    lesson.members.filter(member__in=users).update(is_missing=True)
    return lesson


@transaction.atomic
def lesson_make_homework(*, actor: User, lesson_id: int, plan: Plan, now: datetime) -> Homework:
    """Set homework from a lesson.

    Raises:
        NotFoundError: The lesson is not of a club that ``actor`` coaches.
        ConflictError: Its homework was set before.
        ValidationError: The plan does not hold together.
    """
    lesson = lesson_get(actor=actor, lesson_id=lesson_id)
    if lesson.homework_id is not None:
        raise ConflictError("The homework of this lesson is set already.")
    lesson.homework = homework_set(actor=actor, slug=lesson.club.slug, plan=plan, now=now)
    lesson.save(update_fields=["homework"])
    return lesson.homework


@transaction.atomic
def lesson_set_for_all(*, actor: User, lesson_id: int, now: datetime) -> Homework:
    """Set homework for all who came: of each one to three of the lesson's cases, by a week later.

    Who shows their log is asked for what they are missing most, and for nothing that goes in one
    look or that earlier homework verified; who shows none is asked for the lesson's first cases.

    Raises:
        NotFoundError: The lesson is not of a club that ``actor`` coaches.
        ConflictError: Its homework was set before.
        ValidationError: Nobody who came is missing any of its cases.
    """
    lesson = lesson_get(actor=actor, lesson_id=lesson_id)
    came = {row.member_id for row in lesson.members.all() if not row.is_missing}
    members = [m for m in attendance_list(club=lesson.club) if m.user_id in came]
    codes = codes_of(lesson)
    records: dict[int, dict[str, CaseRecord]] = {}
    for record in case_records(actor=actor, club=lesson.club, users=came):
        records.setdefault(record.user_id, {})[record.code] = record
    done = _done_codes(actor, lesson, members)
    chosen = {
        member.pk: _own_codes(codes, records.get(member.user_id), done.get(member.user_id, set()))
        for member in members
    }
    chosen = {pk: own for pk, own in chosen.items() if own}
    if not chosen:
        raise ValidationError("Nobody who came is missing any of these cases.")
    asked = {code for own in chosen.values() for code in own}
    plan = Plan(
        cases=_ids([code for code in codes if code in asked]),
        membership_ids=tuple(chosen),
        due_on=lesson.on + WEEK,
        own_cases={pk: _ids(own) for pk, own in chosen.items()},
    )
    return lesson_make_homework(actor=actor, lesson_id=lesson_id, plan=plan, now=now)


def _own_codes(
    codes: Sequence[str], records: dict[str, CaseRecord] | None, done: Collection[str]
) -> list[str]:
    """One member's part of a lesson's cases, in the lesson's order."""
    wanted = dict.fromkeys(codes, 1.0) if records is None else missing_of(records)
    open_codes = [code for code in codes if code in wanted and code not in done]
    most = sorted(open_codes, key=lambda code: -wanted[code])[:EACH_AT_MOST]
    return [code for code in codes if code in most]


def _done_codes(actor: User, lesson: Lesson, members: Sequence[Membership]) -> dict[int, set[str]]:
    """What earlier homework of the club verified or excused, of those who show their log."""
    homework = homework_list(actor=actor, club=lesson.club)
    users = {member.user_id: member for member in members}
    visible = [m for m in memberships_shown(actor=actor, homework=homework) if m.user_id in users]
    progress = Progress(actor, homework, visible, None)
    done: dict[int, set[str]] = {}
    for one in homework:
        assigned = {assignment.member_id for assignment in one.assignments.all()}
        for member in visible:
            if member.user_id in assigned:
                cases = progress.of(one, member).cases
                codes = {case.case.code for case in cases if case.state in DONE}
                done.setdefault(member.user_id, set()).update(codes)
    return done


def _ids(codes: Sequence[str]) -> tuple[CaseId, ...]:
    return tuple(cases_by_code()[code].id for code in codes)
