"""Lessons planned, changed, and made into homework."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from clubsite.accounts.models import User
from cubecore.cases import CaseId
from logs.errors import ConflictError
from logs.homework.models import Homework
from logs.homework.plan import Plan, check_cases
from logs.homework.services import chosen_members, homework_set
from logs.lessons.models import Lesson, LessonCase, LessonMember
from logs.lessons.selectors import lesson_get
from logs.people.sight import coached_club_get, members_visible


@dataclass(frozen=True, slots=True)
class LessonPlan:
    """What a lesson holds.

    Attributes:
        on: Its day.
        title: Its name.
        note: The coach's words, or empty.
        membership_ids: The members who will come, of one club.
        cases: In the order to be taught, each once, with why it is there.
    """

    on: date
    title: str
    note: str
    membership_ids: tuple[int, ...]
    cases: tuple[tuple[CaseId, str], ...]


@transaction.atomic
def lesson_create(*, actor: User, slug: str, plan: LessonPlan) -> Lesson:
    """Plan a lesson in a club that ``actor`` coaches.

    Raises:
        NotFoundError: The club is not theirs to coach, or a member's log not theirs to read.
        ValidationError: There is no title, member or case, or a case twice.
    """
    club = coached_club_get(actor=actor, slug=slug)
    return _store(Lesson(club=club, by=actor), actor, plan)


@transaction.atomic
def lesson_edit(*, actor: User, lesson_id: int, plan: LessonPlan) -> Lesson:
    """Change a lesson; the homework that was made of it stays as it was set.

    A member who meanwhile hides their log stays in it.

    Raises:
        NotFoundError: It is not of a club that ``actor`` coaches, or a member is not theirs to see.
        ValidationError: As for `lesson_create`.
    """
    return _store(lesson_get(actor=actor, lesson_id=lesson_id), actor, plan)


def _store(lesson: Lesson, actor: User, plan: LessonPlan) -> Lesson:
    members = chosen_members(club=lesson.club, membership_ids=plan.membership_ids)
    check_cases([case for case, _ in plan.cases])
    lesson.on, lesson.title, lesson.note = plan.on, plan.title.strip(), plan.note.strip()
    lesson.full_clean()
    lesson.save()
    lesson.cases.all().delete()
    LessonCase.objects.bulk_create(
        LessonCase(
            lesson=lesson, stage=case.stage.value, case=str(case.number), place=place, reason=reason
        )
        for place, (case, reason) in enumerate(plan.cases, start=1)
    )
    _store_members(lesson, actor, [member.user_id for member in members])
    return lesson


def _store_members(lesson: Lesson, actor: User, users: Sequence[int]) -> None:
    """Have ``users`` come, and those the actor cannot see stay as they are."""
    known = set(lesson.members.values_list("member", flat=True))
    shown = {m.user_id for m in members_visible(actor=actor, club=lesson.club)}
    lesson.members.filter(member__in=(known & shown) - set(users)).delete()
    LessonMember.objects.bulk_create(
        LessonMember(lesson=lesson, member_id=user) for user in users if user not in known
    )


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
