"""Clubs are founded and joined once, and nobody's log is shown unasked."""

import pytest
from django.core.exceptions import ValidationError

from logs.people.models import Role, Visibility
from logs.people.services.memberships import club_create, membership_add
from tests.factories import make_club, make_user

pytestmark = pytest.mark.django_db


def test_a_new_member_shows_their_log_to_nobody():
    membership = membership_add(club=make_club(), user=make_user(), display_name="Ada")
    assert (membership.role, membership.visibility) == (Role.MEMBER, Visibility.ONLY_ME)


def test_nobody_joins_twice_or_without_a_name():
    club, user = make_club(), make_user()
    with pytest.raises(ValidationError, match="display_name"):
        membership_add(club=club, user=user, display_name="")
    membership_add(club=club, user=user, display_name="Ada")
    with pytest.raises(ValidationError, match="already exists"):
        membership_add(club=club, user=user, display_name="Ada")


def test_a_club_needs_a_slug_of_its_own_and_a_real_zone():
    club_create(name="Corner", slug="corner", time_zone="Europe/Oslo")
    with pytest.raises(ValidationError, match="slug"):
        club_create(name="Other", slug="corner")
    with pytest.raises(ValidationError, match="'Mars/Base' is no IANA time zone"):
        club_create(name="Other", slug="other", time_zone="Mars/Base")
