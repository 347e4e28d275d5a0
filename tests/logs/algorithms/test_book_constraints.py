"""What the database itself refuses of a book."""

from typing import Any

import pytest
from django.db import IntegrityError, transaction

from cubecore.cases import CaseId, Stage
from logs.algorithms.models import BookAlgorithm, TriggerName
from logs.algorithms.services import algorithm_add, algorithm_retire, trigger_add
from logs.people.models import Membership, Role
from tests.factories import NOW, make_club, make_membership

pytestmark = pytest.mark.django_db

OLL_27 = CaseId(Stage.OLL, 27)
CORNER_CYCLE = "R U' L' U R' U' L"


@pytest.fixture
def coach_with_book() -> Membership:
    coach = make_membership(make_club(), role=Role.COACH)
    asked: dict[str, Any] = {"actor": coach.user, "slug": coach.club.slug}
    algorithm_add(**asked, case=OLL_27, text=CORNER_CYCLE, now=NOW)
    trigger_add(**asked, name="bow", turns="F R F'")
    trigger_add(**asked, name="dip", turns="R U R'")
    return coach


@pytest.mark.usefixtures("coach_with_book")
@pytest.mark.parametrize(
    ("model", "rule", "changes"),
    [
        (BookAlgorithm, "book_algorithm_case_known", {"case": "58"}),
        (BookAlgorithm, "book_algorithm_case_known", {"case": "skip"}),
        (BookAlgorithm, "book_algorithm_case_known", {"stage": "xll"}),
        (BookAlgorithm, "book_algorithm_written", {"text": ""}),
        (BookAlgorithm, "book_algorithm_placed", {"place": 0}),
        (TriggerName, "trigger_name_written", {"name": ""}),
        (TriggerName, "trigger_name_written", {"turns": ""}),
    ],
)
def test_a_rule_holds_against_a_bare_update(model, rule, changes):
    one = model.objects.first()
    with pytest.raises(IntegrityError, match=rule), transaction.atomic():
        model.objects.filter(pk=one.pk).update(**changes)


@pytest.mark.usefixtures("coach_with_book")
@pytest.mark.parametrize("changes", [{"name": "bow"}, {"turns": "F R F'"}])
def test_a_name_and_its_turns_are_one_s_own(changes):
    with pytest.raises(IntegrityError), transaction.atomic():
        TriggerName.objects.filter(name="dip").update(**changes)


def test_an_algorithm_is_in_a_book_once_and_retired_as_often_as_it_was(coach_with_book):
    asked: dict[str, Any] = {
        "actor": coach_with_book.user,
        "slug": coach_with_book.club.slug,
        "case": OLL_27,
        "text": CORNER_CYCLE,
    }
    algorithm_retire(**asked, now=NOW)
    algorithm_add(**asked, now=NOW)
    algorithm_retire(**asked, now=NOW)
    retired = BookAlgorithm.objects.filter(text=CORNER_CYCLE)
    assert retired.count() == 2
    with pytest.raises(IntegrityError), transaction.atomic():
        retired.update(retired_at=None)


def test_a_book_outlives_the_coach_who_wrote_it_and_not_its_club(coach_with_book):
    coach_with_book.user.delete()
    assert BookAlgorithm.objects.get(text=CORNER_CYCLE).added_by is None
    coach_with_book.club.delete()
    assert not BookAlgorithm.objects.exists()
    assert not TriggerName.objects.exists()
