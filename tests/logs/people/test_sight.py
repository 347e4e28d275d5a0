"""The values that prove who may read whose log: only the rule of sight makes them."""

from dataclasses import replace
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from logs.errors import NotFoundError
from logs.people.models import Role, Visibility
from logs.people.sight import (
    ClubName,
    ClubSight,
    Sight,
    check_sight,
    club_sight,
    sight_of,
    sight_of_member,
)
from tests.factories import make_club, make_membership, make_user

pytestmark = pytest.mark.django_db


def test_nobody_makes_a_sight_by_hand():
    user = make_user()
    fields: dict[str, Any] = {
        "name": "x",
        "is_own": True,
        "membership_id": None,
        "zone": ZoneInfo("UTC"),
    }
    with pytest.raises(TypeError, match="Only the rule of sight makes this value"):
        Sight(**fields, reader=user, member=user, membership=None, proof=object())
    with pytest.raises((TypeError, ValueError)):
        replace(sight_of(actor=user), member=make_user(), proof=object())
    with pytest.raises(TypeError, match="Only the rule of sight makes this value"):
        ClubSight(
            club=ClubName("A", "a"),
            is_coach=True,
            members=(),
            hides_names=False,
            reader=user,
            membership=make_membership(make_club(), user),
            proof=None,
        )


def test_a_sight_says_who_reads_whose_log_in_which_club():
    coach = make_membership(make_club(time_zone="Europe/Oslo"), role=Role.COACH)
    member = make_membership(coach.club, visibility=Visibility.COACH)
    for sight in (
        sight_of(actor=coach.user, membership_id=member.pk),
        sight_of_member(actor=coach.user, member=member.user),
    ):
        assert (sight.reader, sight.member, sight.membership) == (coach.user, member.user, member)
        assert (sight.club, sight.zone) == (coach.club, ZoneInfo("Europe/Oslo"))
        assert (sight.name, sight.is_own) == (member.display_name, False)
    own = sight_of(actor=coach.user)
    assert (own.member, own.membership, own.club, own.is_own) == (coach.user, None, None, True)


def test_a_log_that_is_hidden_gives_no_sight_and_an_account_that_is_locked_has_none():
    coach = make_membership(make_club(), role=Role.COACH)
    hidden = make_membership(coach.club)
    locked = make_user(is_active=False)
    for actor, member in ((coach.user, hidden.user), (locked, locked), (locked, hidden.user)):
        with pytest.raises(NotFoundError, match="member"):
            sight_of_member(actor=actor, member=member)
    with pytest.raises(NotFoundError, match="member"):
        sight_of(actor=coach.user, membership_id=hidden.pk)
    with pytest.raises(NotFoundError, match="member"):
        sight_of(actor=locked)


def test_the_sight_of_a_club_proves_each_of_its_members_and_no_other():
    coach = make_membership(make_club(), role=Role.COACH)
    shown = make_membership(coach.club, visibility=Visibility.COACH)
    make_membership(coach.club)  # hides theirs
    with CaptureQueriesContext(connection) as queries:
        sight = club_sight(actor=coach.user, slug=coach.club.slug, hides_names=True)
        proved = [check_sight(coach.user, member.sight) for member in sight.members]
    assert len(queries) == 3  # the own membership, the club's groups, and who shows their log
    assert set(proved) == {coach.user, shown.user}
    assert set(sight.user_ids) == {coach.user_id, shown.user_id}
    assert [member.name for member in sight.members] == ["Member A", "Member B"]
    assert sight.is_coach
    assert sight.club_row == coach.club
    with pytest.raises(NotFoundError, match="club"):
        club_sight(actor=make_user(), slug=coach.club.slug)


def test_a_sight_is_good_for_its_reader_alone():
    coach = make_membership(make_club(), role=Role.COACH)
    member = make_membership(coach.club, visibility=Visibility.COACH)
    other = make_membership(coach.club)
    sight = sight_of(actor=coach.user, membership_id=member.pk)
    with CaptureQueriesContext(connection) as queries:
        assert check_sight(coach.user, sight) == member.user
    assert len(queries) == 0
    with pytest.raises(NotFoundError, match="member"):
        check_sight(other.user, sight)
