"""The most practice a day: whose number holds, who may choose it, and what counts as today."""

from datetime import UTC, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError

from logs.errors import NotFoundError
from logs.people.models import Role
from logs.practice.selectors import drills_today, practice_cap
from logs.practice.services import practice_cap_change
from tests.desk import DRILL
from tests.factories import make_club, make_membership, make_row, make_rows, make_upload

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
