"""Homework of the days when a case was asked of everybody at once: each member is asked each case."""

from importlib import import_module

import pytest
from django.apps import apps

from logs.homework.models import AssignmentCase
from tests.desk import CASE_27, CASE_40, CASE_T, make_homework, make_team

pytestmark = pytest.mark.django_db


def rows() -> set[tuple[int, int, str, str, object]]:
    return set(
        AssignmentCase.objects.values_list(
            "assignment__homework", "assignment__member", "stage", "case", "asked_at"
        )
    )


def test_the_move_asks_each_member_each_case_of_their_homework_since_it_was_set():
    _, coach, members = make_team(3)
    both = make_homework(coach, members[:2], (CASE_40, CASE_T))
    single = make_homework(coach, members[2:], (CASE_27,))
    AssignmentCase.objects.all().delete()  # as the tables stood before
    import_module("logs.migrations.0025_each_member_is_asked_each_case").ask(apps, None)
    assert rows() == {
        *(
            (both.pk, member.user_id, stage, case, both.set_at)
            for member in members[:2]
            for stage, case in (("oll", "40"), ("pll", "T"))
        ),
        (single.pk, members[2].user_id, "oll", "27", single.set_at),
    }
    assert AssignmentCase.objects.count() == 5
    assert not AssignmentCase.objects.exclude(shown_at=None).exists()


def test_a_club_without_homework_is_moved_too():
    make_team(1)
    import_module("logs.migrations.0025_each_member_is_asked_each_case").ask(apps, None)
    assert rows() == set()
