"""A forgotten password: the owner's code works once, for an hour, and is read in the trail."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.test import Client

from logs.errors import ConflictError, NotAllowedError, TooManyTriesError
from logs.people.models import AuditEvent, Membership, PasswordCode, Role, Verb
from logs.people.services.passwords import PASSWORD_CODE, password_code_create, password_reset
from tests.factories import NOW, make_client, make_club, make_membership

pytestmark = pytest.mark.django_db

NEW = "barn-quilt-seven-otter"


def a_code(owner: Membership, person: Membership) -> str:
    return password_code_create(
        actor=owner.user, slug=owner.club.slug, membership_id=person.pk, now=NOW
    )


def choose(person: Membership, code: str, *, password: str = NEW, now=NOW) -> None:
    password_reset(
        username=person.user.username.upper(),
        code=code.lower(),
        password=password,
        address="192.0.2.7",
        now=now,
    )


def test_a_code_lets_its_person_choose_a_password_once(owner: Membership):
    person = make_membership(owner.club)
    code = a_code(owner, person)
    assert code not in str(PasswordCode.objects.values()) + str(AuditEvent.objects.values())
    choose(person, code, now=NOW + timedelta(minutes=59))
    person.user.refresh_from_db()
    assert person.user.check_password(NEW)
    with pytest.raises(ValidationError, match="do not belong together"):
        choose(person, code)
    about = AuditEvent.objects.filter(member=person.user).order_by("pk")
    assert [(event.verb, event.actor_id) for event in about] == [
        (Verb.PASSWORD_CODE, owner.user_id),
        (Verb.PASSWORD_RESET, person.user_id),
    ]


def test_a_code_is_good_for_an_hour_for_its_person_and_until_the_next(owner: Membership):
    person, other = make_membership(owner.club), make_membership(owner.club)
    first = a_code(owner, person)
    for who, code, now in ((person, first, NOW + timedelta(hours=1)), (other, first, NOW)):
        with pytest.raises(ValidationError, match="do not belong together"):
            choose(who, code, now=now)
    second = a_code(owner, person)
    with pytest.raises(ValidationError, match="do not belong together"):
        choose(person, first)
    choose(person, second)


def test_a_weak_password_leaves_the_code_as_it_was(owner: Membership):
    person = make_membership(owner.club)
    code = a_code(owner, person)
    with pytest.raises(ValidationError, match="characters"):
        choose(person, code, password="short")
    choose(person, code)


def test_whoever_guesses_is_shut_out(owner: Membership):
    person = make_membership(owner.club)
    for _ in range(PASSWORD_CODE.n_address):
        with pytest.raises(ValidationError):
            choose(person, "WRONG")
    with pytest.raises(TooManyTriesError):
        choose(person, a_code(owner, person))


def test_only_the_owner_helps_and_never_into_another_club(owner: Membership):
    person = make_membership(owner.club)
    coach = make_membership(owner.club, role=Role.COACH)
    with pytest.raises(NotAllowedError, match="Only the owner"):
        a_code(coach, person)
    with pytest.raises(ConflictError, match="somebody else"):
        a_code(owner, owner)
    make_membership(make_club(), person.user, role=Role.COACH)
    with pytest.raises(NotAllowedError, match="They coach elsewhere"):
        a_code(owner, person)
    assert not PasswordCode.objects.exists()


def test_a_code_goes_with_its_person_and_with_who_made_it(owner: Membership):
    person, coach = make_membership(owner.club), make_membership(owner.club, role=Role.COACH)
    a_code(owner, person)
    a_code(owner, coach)
    person.user.delete()
    assert PasswordCode.objects.count() == 1
    owner.user.delete()
    assert not PasswordCode.objects.exists()


def test_the_pages_lead_from_the_owner_s_press_to_signing_in(owner: Membership, client: Client):
    person = make_membership(owner.club)
    desk = make_client(owner.user)
    address = f"/clubs/{owner.club.slug}/people/{person.pk}/password/"
    code = desk.post(address).context["code"]
    assert code not in desk.get(address).text
    form = {"username": person.user.username, "code": code, "password": NEW}
    twice = {**form, "password_again": "another"}
    assert client.post("/new-password/", twice).status_code == 422
    assert "new-password" in client.get("/sign-in/").text
    answer = client.post("/new-password/", {**form, "password_again": NEW}, follow=True)
    assert "Your password is changed. Sign in with it." in answer.text
    signed_in = client.post("/sign-in/", {"username": person.user.username, "password": NEW})
    assert signed_in.status_code == 302
