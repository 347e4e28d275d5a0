"""Changing a password, and which ones are taken."""

import pytest
from django.contrib.auth.hashers import identify_hasher, make_password
from django.test import Client

from clubsite import settings as shipped
from clubsite.accounts.models import User

OLD = "plum-anvil-orbit-nine"
NEW = "seven-lanterns-under-ice"

pytestmark = pytest.mark.django_db


@pytest.fixture
def member() -> User:
    return User.objects.create_user("mirre", password=OLD)


def change(client: Client, new: str, *, old: str = OLD):
    return client.post(
        "/password/", {"old_password": old, "new_password1": new, "new_password2": new}
    )


def test_changing_it_ends_every_other_session_but_not_this_one(member: User):
    here, elsewhere = Client(), Client()
    here.force_login(member)
    elsewhere.force_login(member)
    assert elsewhere.get("/password/").status_code == 200

    answer = change(here, NEW)

    assert answer.headers["Location"] == "/password/"
    page = here.get("/password/")
    assert page.status_code == 200
    assert "Every other device is signed out" in page.text
    assert elsewhere.get("/password/").headers["Location"] == "/sign-in/?next=/password/"
    member.refresh_from_db()
    assert member.check_password(NEW)


@pytest.mark.parametrize(
    ("new", "said"),
    [
        ("brr-7xk", "has 7 characters; 8 are the least"),
        ("password123", "too common"),
        ("mirrelin", "too similar"),
    ],
)
def test_a_weak_one_is_refused_with_the_reason(member: User, new: str, said: str):
    client = Client()
    client.force_login(member)
    answer = change(client, new)
    assert answer.status_code == 200
    assert said in answer.text
    member.refresh_from_db()
    assert member.check_password(OLD)


def test_eight_characters_are_enough_and_no_sign_or_digit_is_asked_for(member: User):
    client = Client()
    client.force_login(member)
    assert change(client, "qvzkwplr").status_code == 302


def test_fifteen_are_advised(member: User):
    client = Client()
    client.force_login(member)
    assert "15 or more are better" in client.get("/password/").text


def test_the_old_one_is_asked_for(member: User):
    client = Client()
    client.force_login(member)
    assert change(client, NEW, old="something else").status_code == 200
    member.refresh_from_db()
    assert member.check_password(OLD)


def test_shipped_settings_hash_with_argon2id(settings):
    settings.PASSWORD_HASHERS = shipped.PASSWORD_HASHERS
    encoded = make_password(NEW)
    assert identify_hasher(encoded).algorithm == "argon2"
    assert encoded.startswith("argon2$argon2id$")  # RFC 9106, the variant it recommends
