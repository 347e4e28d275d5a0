"""The most practice a day: whose number holds, who may choose it, and what counts as today."""

from datetime import UTC, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError

from logs.errors import NotFoundError
from logs.homework.services import assignment_excuse
from logs.people.models import Role
from logs.practice.selectors import (
    answers_left,
    cases_asked,
    drills_left,
    drills_today,
    practice_cap,
)
from logs.practice.services import practice_cap_change
from tests.desk import CASE_27, CASE_40, DRILL, make_homework, make_team
from tests.factories import NOW, make_club, make_membership, make_row, make_rows, make_upload

pytestmark = pytest.mark.django_db


def test_the_least_of_ones_clubs_holds():
    member = make_membership(make_club())
    assert practice_cap(actor=member.user) == 30
    other = make_club()
    make_membership(other, member.user)
    coach = make_membership(other, role=Role.COACH)
    practice_cap_change(actor=coach.user, slug=other.slug, practice_cap=12)
    assert practice_cap(actor=member.user) == 12


@pytest.mark.parametrize("number", [0, 201, -3])
def test_a_number_out_of_bounds_is_refused(number: int):
    coach = make_membership(make_club(), role=Role.OWNER)
    with pytest.raises(ValidationError, match="Give a number from 1 to 200"):
        practice_cap_change(actor=coach.user, slug=coach.club.slug, practice_cap=number)
    coach.club.refresh_from_db()
    assert coach.club.practice_cap == 30


def test_only_coaches_choose():
    member = make_membership(make_club())
    with pytest.raises(NotFoundError):
        practice_cap_change(actor=member.user, slug=member.club.slug, practice_cap=12)


def test_drills_of_the_clubs_own_day_count():
    member = make_membership(make_club(time_zone="Pacific/Auckland"))
    noon = datetime(2026, 3, 2, 12, tzinfo=UTC)  # 01:00 on the 3rd in Auckland
    early, late = noon - timedelta(hours=2), noon + timedelta(hours=2)
    rows = [
        make_row(*DRILL, done_at=at, gap_ms=n) for n, at in ((90, early), (91, noon), (92, late))
    ]
    make_upload(member.user, [*make_rows(3), *rows])
    assert drills_today(actor=member.user, now=noon) == 2


def test_a_day_beyond_its_most_has_nothing_left_and_taps_go_three_times_as_far():
    coach = make_membership(make_club(), role=Role.COACH)
    practice_cap_change(actor=coach.user, slug=coach.club.slug, practice_cap=1)
    rows = [make_row(*DRILL, done_at=NOW, gap_ms=gap_ms) for gap_ms in (90, 91)]
    make_upload(coach.user, rows)
    assert drills_today(actor=coach.user, now=NOW) == 2
    assert drills_left(actor=coach.user, now=NOW) == 0
    assert answers_left(actor=coach.user, is_turned=True, now=NOW) == 0
    assert answers_left(actor=coach.user, is_turned=False, now=NOW) == 3


def test_what_another_is_asked_is_not_mine_to_practise():
    _, coach, (member, other) = make_team(2)
    homework = make_homework(coach, [member, other], (CASE_40, CASE_27))
    assignment_excuse(
        actor=coach.user,
        homework_id=homework.pk,
        membership_id=member.pk,
        cases=[CASE_27],
        reason="Known from another club.",
        now=NOW,
    )
    assert cases_asked(actor=member.user) == (CASE_40,)
    assert set(cases_asked(actor=other.user)) == {CASE_40, CASE_27}
