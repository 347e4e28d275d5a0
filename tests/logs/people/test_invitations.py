"""Who gets into a club with which code."""

from datetime import timedelta

import pytest
from django.contrib.auth import get_user_model
from django.core.exceptions import ValidationError

from logs.errors import ConflictError, NotAllowedError, NotFoundError
from logs.people.models import AuditEvent, Club, Invitation, Membership, Role, Verb, Visibility
from logs.people.selectors import LETTERS, invitation_code
from logs.people.services.invitations import (
    club_found,
    invitation_accept,
    invitation_create,
    invitation_sign_up,
    invitation_withdraw,
)
from logs.people.services.memberships import membership_remove, role_change
from tests.factories import NOW, make_membership, make_user

pytestmark = pytest.mark.django_db

PASSWORD = "plum-anvil-orbit-nine"
LATER = NOW + timedelta(days=1)


def invite(coach: Membership, *, role: Role = Role.MEMBER, max_uses: int = 1, days: int = 7):
    return invitation_create(
        actor=coach.user,
        slug=coach.club.slug,
        role=role,
        max_uses=max_uses,
        days=days,
        now=NOW,
        origin="192.0.2.0/24",
    )


def accept(code: str, *, now=LATER, user=None) -> Membership:
    return invitation_accept(actor=user or make_user(), code=code, display_name="Wren", now=now)


def test_a_code_is_kept_nowhere_and_told_with_the_secret_key_alone(coach: Membership, settings):
    invitation, code = invite(coach)
    assert invitation_code(invitation) == code
    bare = code.replace("-", "")
    assert len(bare) == 12
    assert set(bare) <= set(LETTERS)
    stored = str(Invitation.objects.values().get(pk=invitation.pk)) + str(
        list(AuditEvent.objects.values())
    )
    assert code not in stored
    assert bare not in stored
    settings.SECRET_KEY = "another-key"
    assert invitation_code(invitation) == ""


@pytest.mark.parametrize("spell", [str.lower, lambda c: c.replace("-", " "), lambda c: f" {c}\n"])
def test_a_code_is_found_however_it_is_typed(coach: Membership, spell):
    assert accept(spell(invite(coach)[1])).club == coach.club


@pytest.mark.parametrize("visibility", Visibility.values)
def test_somebody_who_joins_shows_their_log_to_whom_they_chose(coach: Membership, visibility: str):
    _, code = invite(coach)
    joined = invitation_accept(
        actor=make_user(), code=code, display_name="Wren", visibility=visibility, now=LATER
    )
    assert (joined.role, joined.visibility) == (Role.MEMBER, visibility)


def test_a_choice_that_is_none_uses_nothing_up(coach: Membership):
    invitation, code = invite(coach)
    with pytest.raises(ValidationError, match="'all' is none of: only_me, coach, club"):
        invitation_accept(
            actor=make_user(), code=code, display_name="Wren", visibility="all", now=LATER
        )
    invitation.refresh_from_db()
    assert invitation.n_uses == 0


def test_a_code_works_as_often_as_it_says_and_until_it_says(coach: Membership):
    invitation, code = invite(coach, max_uses=2)
    accept(code)
    accept(code, now=NOW + timedelta(days=7, seconds=-1))
    with pytest.raises(NotFoundError):
        accept(code)
    invitation.refresh_from_db()
    assert invitation.n_uses == 2
    _, short = invite(coach, days=3)
    with pytest.raises(NotFoundError):
        accept(short, now=NOW + timedelta(days=3))


def test_a_withdrawn_code_works_no_more(coach: Membership):
    invitation, code = invite(coach)
    for _ in range(2):
        invitation_withdraw(
            actor=coach.user, slug=coach.club.slug, invitation_id=invitation.pk, now=LATER
        )
    with pytest.raises(NotFoundError, match=r"^There is no such invitation\.$"):
        accept(code)
    assert AuditEvent.objects.filter(verb=Verb.INVITE_WITHDRAW).count() == 1


def test_somebody_who_is_in_already_uses_nothing_up(coach: Membership):
    invitation, code = invite(coach)
    with pytest.raises(ConflictError, match=r"^You are in Riverbank already\.$"):
        accept(code, user=coach.user)
    invitation.refresh_from_db()
    assert invitation.n_uses == 0


@pytest.mark.parametrize("kind", [Role, str])  # a form and a program send text
def test_coaches_invite_members_and_only_the_owner_invites_coaches(coach: Membership, kind):
    owner = make_membership(coach.club, role=Role.OWNER)
    with pytest.raises(NotAllowedError, match=r"^Only the owner of the club invites coaches\.$"):
        invite(coach, role=kind("coach"))
    with pytest.raises(NotAllowedError):
        invite(owner, role=kind("owner"))
    assert accept(invite(owner, role=Role.COACH)[1]).role == Role.COACH
    with pytest.raises(NotFoundError):
        invite(make_membership(coach.club))


@pytest.mark.parametrize(("max_uses", "days"), [(0, 7), (61, 7), (1, 0), (1, 61)])
def test_uses_and_days_have_bounds(coach: Membership, max_uses: int, days: int):
    with pytest.raises(ValidationError, match="Write a number from 1 to 60"):
        invite(coach, max_uses=max_uses, days=days)


def test_signing_up_makes_an_account_without_an_e_mail_address(coach: Membership):
    joined = invitation_sign_up(
        code=invite(coach)[1],
        username="wren7",
        password=PASSWORD,
        display_name="Wren",
        now=LATER,
    )
    user = get_user_model().objects.get(username="wren7")
    assert joined.user == user
    assert user.email == ""
    assert user.check_password(PASSWORD)


@pytest.mark.parametrize(
    ("fields", "problem"),
    [
        ({"username": "TAKEN"}, "already exists"),
        ({"username": "a b"}, "valid username"),
        ({"password": "password"}, "too common"),
        ({"password": "short"}, "5 characters; 8 are the least"),
        ({"display_name": ""}, "cannot be blank"),
    ],
)
def test_what_cannot_be_taken_keeps_no_half_of_it(coach: Membership, fields, problem):
    make_user("taken")
    invitation, code = invite(coach)
    given = {"username": "wren7", "password": PASSWORD, "display_name": "Wren"} | fields
    n_users = get_user_model().objects.count()
    with pytest.raises(ValidationError, match=problem):
        invitation_sign_up(code=code, now=LATER, **given)
    invitation.refresh_from_db()
    assert invitation.n_uses == 0
    assert get_user_model().objects.count() == n_users


def test_a_founded_club_lets_one_owner_in():
    code = club_found(name="Hill", slug="hill", time_zone="Europe/Oslo", days=7, now=NOW)
    owner = accept(code)
    assert (owner.role, owner.club.name) == (Role.OWNER, "Hill")
    with pytest.raises(ConflictError, match=r"^Hill has an owner already\.$"):
        club_found(name="Hill", slug="hill", time_zone="Europe/Oslo", days=7, now=NOW)
    assert Club.objects.filter(slug="hill").count() == 1


def test_two_open_codes_for_an_owner_make_one_owner():
    codes = [
        club_found(name="Hill", slug="hill", time_zone="UTC", days=7, now=NOW) for _ in range(2)
    ]
    accept(codes[0])
    with pytest.raises(ConflictError, match="has an owner already"):
        accept(codes[1])


def remove(person: Membership, by: Membership, *, now=LATER) -> None:
    membership_remove(actor=by.user, slug=by.club.slug, membership_id=person.pk, now=now, origin="")


def test_who_was_removed_is_let_in_by_a_code_made_after_that_alone(owner: Membership):
    _, before = invite(owner, max_uses=5)
    person = accept(before, now=NOW)
    remove(person, owner)
    with pytest.raises(ConflictError, match=r"^You were taken out of Riverbank\. Only a code made"):
        accept(before, user=person.user)
    assert Invitation.objects.get().n_uses == 1
    assert accept(before).club == owner.club  # somebody else
    _, after = invitation_create(
        actor=owner.user, slug=owner.club.slug, role=Role.MEMBER, max_uses=1, days=7,
        now=LATER + timedelta(seconds=1),
    )  # fmt: skip
    assert accept(after, user=person.user, now=LATER + timedelta(hours=1)).club == owner.club


def test_codes_of_a_coach_who_was_removed_work_no_more(owner: Membership):
    coach = make_membership(owner.club, role=Role.COACH)
    _, code = invite(coach, max_uses=5)
    _, other = invite(owner)
    remove(coach, owner)
    for user in (coach.user, make_user()):
        with pytest.raises(NotFoundError):
            accept(code, user=user)
    assert accept(other).club == owner.club


def test_codes_of_a_coach_who_is_one_no_more_work_no_more(owner: Membership):
    coach = make_membership(owner.club, role=Role.COACH)
    _, code = invite(coach)
    role_change(
        actor=owner.user, slug=owner.club.slug, membership_id=coach.pk, role="member", now=LATER
    )
    with pytest.raises(NotFoundError):
        accept(code)
