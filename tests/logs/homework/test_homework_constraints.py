"""What the database itself refuses of homework, words on lists and lessons."""

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from logs.homework.models import Assignment, Excuse, Homework, HomeworkCase
from logs.homework.services import assignment_excuse
from logs.lessons.models import Lesson, LessonCase, LessonMember
from logs.next_up.models import Override
from logs.next_up.order import OverrideKind
from logs.next_up.services import override_set
from tests.desk import CASE_40, make_homework, make_lesson, make_team
from tests.factories import NOW

pytestmark = pytest.mark.django_db


@pytest.fixture
def stored():
    _, coach, (member,) = make_team()
    homework = make_homework(coach, [member])
    assignment_excuse(
        actor=coach.user,
        homework_id=homework.pk,
        membership_id=member.pk,
        cases=[CASE_40],
        reason="x",
        now=NOW,
    )
    override_set(
        actor=coach.user,
        membership_id=member.pk,
        case=CASE_40,
        kind=OverrideKind.PIN,
        reason="x",
        now=NOW,
    )
    make_lesson(coach, [member])


@pytest.mark.usefixtures("stored")
@pytest.mark.parametrize(
    ("model", "rule", "changes"),
    [
        (Homework, "homework_goal_known", {"goal": "hours"}),
        (Homework, "homework_target_fits_goal", {"goal": "both"}),
        (Homework, "homework_target_fits_goal", {"recognition_target_ms": 900}),
        (Homework, "homework_closed_with_reason", {"closed_at": timezone.now()}),
        (Homework, "homework_closed_with_reason", {"close_reason": "x"}),
        (HomeworkCase, "homework_case_known", {"case": "58"}),
        (HomeworkCase, "homework_case_known", {"case": "skip"}),
        (HomeworkCase, "homework_case_known", {"stage": "pll"}),
        (Excuse, "excuse_case_known", {"case": "T"}),
        (Excuse, "excuse_explained", {"reason": ""}),
        (Override, "override_kind_known", {"kind": "hide"}),
        (Override, "override_place_for_move", {"place": 2}),
        (Override, "override_place_for_move", {"kind": "move"}),
        (Override, "override_place_for_move", {"kind": "move", "place": 0}),
        (Override, "override_explained", {"reason": ""}),
        (Override, "override_case_known", {"case": "0"}),
        (Lesson, "lesson_titled", {"title": ""}),
        (LessonCase, "lesson_case_known", {"case": "x"}),
    ],
)
def test_a_rule_holds_against_a_bare_update(model, rule, changes):
    with pytest.raises(IntegrityError, match=rule), transaction.atomic():
        model.objects.update(**changes)


@pytest.mark.usefixtures("stored")
@pytest.mark.parametrize(
    ("model", "columns"),
    [
        (HomeworkCase, ("homework", "stage", "case")),
        (Assignment, ("homework", "member")),
        (Excuse, ("assignment", "stage", "case")),
        (Override, ("club", "member", "stage", "case")),
        (LessonCase, ("lesson", "stage", "case")),
        (LessonMember, ("lesson", "member")),
    ],
)
def test_what_is_one_of_a_kind_is_stored_once(model, columns):
    (rule,) = [rule for rule in model._meta.constraints if getattr(rule, "fields", ()) == columns]
    row = model.objects.latest("pk")
    row.pk = None
    with pytest.raises(IntegrityError, match=f"(?i){rule.name}|{'.*'.join(columns)}"):
        row.save(force_insert=True)


@pytest.mark.usefixtures("stored")
def test_a_withdrawn_word_makes_room_for_another():
    word = Override.objects.get()
    Override.objects.update(withdrawn_at=NOW)
    word.pk = None
    word.save(force_insert=True)
    assert Override.objects.count() == 2
