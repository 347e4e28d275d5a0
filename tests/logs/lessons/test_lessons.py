"""Lessons: planned, changed, made into homework once."""

from datetime import date
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from logs.errors import ConflictError, NotFoundError
from logs.homework.models import Homework
from logs.homework.plan import Plan
from logs.lessons.models import Lesson
from logs.lessons.services import LessonPlan, lesson_create, lesson_edit, lesson_make_homework
from logs.people.models import Role, Visibility
from tests.desk import CASE_27, CASE_40, CASE_T, make_lesson, make_team
from tests.factories import NOW, make_club, make_membership

pytestmark = pytest.mark.django_db


def plan_of(members, cases=(CASE_40,), **changes) -> LessonPlan:
    values: dict[str, Any] = {
        "on": date(2026, 3, 5),
        "title": " Evening ",
        "note": "",
        "membership_ids": tuple(member.pk for member in members),
        "cases": tuple((case, "why") for case in cases),
    }
    return LessonPlan(**(values | changes))


def users_of(lesson: Lesson) -> set[int]:
    return set(lesson.members.values_list("member", flat=True))


def test_a_lesson_keeps_its_cases_in_order_with_their_reasons():
    club, coach, members = make_team(2)
    plan = plan_of(members, (CASE_T, CASE_40))
    lesson = lesson_create(actor=coach.user, slug=club.slug, plan=plan)
    assert (lesson.title, lesson.by) == ("Evening", coach.user)
    kept = lesson.cases.order_by("place").values_list("stage", "case", "reason")
    assert list(kept) == [("pll", "T", "why"), ("oll", "40", "why")]
    assert users_of(lesson) == {member.user_id for member in members}


def test_a_change_replaces_cases_and_members():
    _, coach, (first, second) = make_team(2)
    lesson = make_lesson(coach, [first], (CASE_40,))
    lesson_edit(actor=coach.user, lesson_id=lesson.pk, plan=plan_of([second], (CASE_27,)))
    assert [case.case for case in lesson.cases.all()] == ["27"]
    assert users_of(lesson) == {second.user_id}


def test_a_member_who_hides_their_log_stays_in_the_lesson():
    _, coach, (first, second) = make_team(2)
    lesson = make_lesson(coach, [first, second])
    second.visibility = Visibility.ONLY_ME
    second.save()
    lesson_edit(actor=coach.user, lesson_id=lesson.pk, plan=plan_of([first]))
    assert users_of(lesson) == {first.user_id, second.user_id}


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"title": "  "}, "blank"),
        ({"cases": ()}, "at least one case"),
        ({"cases": (CASE_40, CASE_40)}, "chosen twice"),
        ({"membership_ids": ()}, "at least one member"),
    ],
)
def test_a_plan_that_does_not_hold_together_is_refused(changes, message):
    club, coach, members = make_team()
    with pytest.raises(ValidationError, match=message):
        lesson_create(actor=coach.user, slug=club.slug, plan=plan_of(members, **changes))
    assert not Lesson.objects.exists()


def test_homework_is_made_of_a_lesson_once():
    _, coach, (member,) = make_team()
    lesson = make_lesson(coach, [member])
    plan = Plan((CASE_40,), (member.pk,))
    made = lesson_make_homework(actor=coach.user, lesson_id=lesson.pk, plan=plan, now=NOW)
    lesson.refresh_from_db()
    assert lesson.homework == made
    with pytest.raises(ConflictError, match="set already"):
        lesson_make_homework(actor=coach.user, lesson_id=lesson.pk, plan=plan, now=NOW)
    assert Homework.objects.count() == 1


def test_a_lesson_is_for_the_coaches_of_its_club_alone():
    club, coach, members = make_team()
    lesson = make_lesson(coach, members)
    for actor in (members[0], make_membership(make_club(), role=Role.COACH)):
        with pytest.raises(NotFoundError):
            lesson_create(actor=actor.user, slug=club.slug, plan=plan_of(members))
        with pytest.raises(NotFoundError):
            lesson_edit(actor=actor.user, lesson_id=lesson.pk, plan=plan_of(members))
        with pytest.raises(NotFoundError):
            lesson_make_homework(
                actor=actor.user,
                lesson_id=lesson.pk,
                plan=Plan((CASE_40,), (members[0].pk,)),
                now=NOW,
            )
