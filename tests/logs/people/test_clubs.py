"""Who sees whose log: every role against every visibility."""

import pytest

from logs.errors import NotFoundError
from logs.people.models import Role, Visibility
from logs.people.sight import (
    check_sight,
    club_get,
    clubs_of,
    members_visible,
    membership_get,
    own_membership,
)
from tests.factories import make_club, make_membership, make_user

pytestmark = pytest.mark.django_db

# Who looks: what they see of a member who shows their log to (only me, coach, club).
SIGHT = {
    "self": (True, True, True),
    "coach": (False, True, True),
    "clubmate": (False, False, True),
    "coach of another club": (False, False, False),
    "member of another club": (False, False, False),
    "coach elsewhere, member here": (False, False, True),
    "former coach": (False, False, False),
    "stranger": (False, False, False),
    "locked coach": (False, False, False),
    "locked self": (False, False, False),
}


def _actor(who: str, member):
    club, other = member.club, make_club()
    user = make_user(is_active="locked" not in who)
    if who == "self":
        return member.user
    if who == "locked self":
        member.user.is_active = False
        member.user.save()
        return member.user
    if who in {"coach", "locked coach"}:
        make_membership(club, user, role=Role.COACH)
    if who in {"clubmate", "coach elsewhere, member here"}:
        make_membership(club, user)
    if who in {"coach of another club", "coach elsewhere, member here"}:
        make_membership(other, user, role=Role.COACH)
    if who == "member of another club":
        make_membership(other, user)
    if who == "former coach":
        make_membership(club, user, role=Role.COACH).delete()
    return user


@pytest.mark.parametrize("number", range(3), ids=Visibility.values)
@pytest.mark.parametrize("who", SIGHT)
def test_a_log_is_seen_by_those_it_is_shown_to_and_is_not_there_for_others(who, number):
    visibility = list(Visibility)[number]
    member = make_membership(make_club(), visibility=visibility)
    actor = _actor(who, member)
    shown = members_visible(actor=actor, club=member.club)
    assert (member in shown) is SIGHT[who][number]
    if SIGHT[who][number]:
        assert membership_get(actor=actor, membership_id=member.pk) == member
        check_sight(actor, member.user)
    else:
        with pytest.raises(NotFoundError, match=r"^There is no such member\.$"):
            membership_get(actor=actor, membership_id=member.pk)
        with pytest.raises(NotFoundError, match=r"^There is no such member\.$"):
            check_sight(actor, member.user)


def test_who_is_never_there_looks_the_same():
    with pytest.raises(NotFoundError, match=r"^There is no such member\.$"):
        membership_get(actor=make_user(), membership_id=999_999)


def test_what_is_shown_in_one_club_is_not_shown_in_another():
    here, there = make_club(), make_club()
    member = make_user()
    make_membership(here, member, visibility=Visibility.CLUB)
    hidden = make_membership(there, member)
    clubmate = make_membership(there).user
    assert hidden not in members_visible(actor=clubmate, club=there)
    with pytest.raises(NotFoundError):
        check_sight(clubmate, member)


def test_clubs_are_those_one_is_in():
    mine, other = make_club("Mine"), make_club("Other")
    user = make_membership(mine).user
    assert clubs_of(actor=user) == [mine]
    assert club_get(actor=user, slug=mine.slug) == mine
    assert own_membership(actor=user, club=mine).user == user
    with pytest.raises(NotFoundError, match="club"):
        club_get(actor=user, slug=other.slug)
    with pytest.raises(NotFoundError, match="club"):
        own_membership(actor=user, club=other)


def test_a_list_of_members_is_one_query(django_assert_num_queries):
    club = make_club()
    coach = make_membership(club, role=Role.COACH).user
    for _ in range(20):
        make_membership(club, visibility=Visibility.COACH)
    with django_assert_num_queries(1):
        shown = members_visible(actor=coach, club=club)
        assert len({membership.user.username for membership in shown}) == 21
