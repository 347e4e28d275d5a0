"""Where one is signed in: told to its own member alone, and ended there by them."""

import hashlib
from datetime import timedelta

import pytest
from django.contrib.auth import get_user
from django.test import Client
from django.utils import timezone

from clubsite.accounts.models import Session, User
from clubsite.accounts.sessions import browser_words

pytestmark = pytest.mark.django_db

PASSWORD = "plum-anvil-orbit-nine"
LINUX = "Mozilla/5.0 (X11; Linux x86_64; rv:128.0) Gecko/20100101 Firefox/128.0"
PHONE = (
    "Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like"
    " Gecko) Version/17.5 Mobile/15E148 Safari/604.1"
)


@pytest.fixture
def member() -> User:
    return User.objects.create_user("mirre", password=PASSWORD)


def sign_in(name: str = "mirre", *, browser: str = LINUX) -> Client:
    client = Client(headers={"user-agent": browser})
    client.post("/sign-in/", {"username": name, "password": PASSWORD})
    assert get_user(client).is_authenticated
    return client


def is_signed_in(client: Client) -> bool:
    return client.get("/password/").status_code == 200


def key_hash(client: Client) -> str:
    return hashlib.sha256(str(client.session.session_key).encode()).hexdigest()


# The words that browsers send are those of their makers' documentation: developer.mozilla.org,
# "User-Agent", and learn.microsoft.com, "Detect Microsoft Edge from your website".
@pytest.mark.parametrize(
    ("sent", "words"),
    [
        (LINUX, "Firefox on Linux"),
        (PHONE, "Safari on iPhone"),
        (
            "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko)"
            " Chrome/91.0.4472.124 Safari/537.36 Edg/91.0.864.59",
            "Edge on Windows",
        ),
        (
            "Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko)"
            " Chrome/124.0.0.0 Mobile Safari/537.36",
            "Chrome on Android",
        ),
        ("curl/8.5.0", ""),
        ("", ""),
        ("Firefox/" * 5000, "Firefox"),
    ],
)
def test_a_browser_is_kept_as_two_words(sent: str, words: str):
    assert browser_words(sent) == words


def test_the_table_does_not_hold_the_key_of_a_session(member: User):
    client = sign_in()
    key = str(client.session.session_key)
    (row,) = Session.objects.all()
    assert key not in repr(vars(row))
    assert row.session_key == key_hash(client)
    client.cookies["session"] = row.session_key  # what a thief of the table would try
    assert not is_signed_in(client)


def test_the_page_lists_each_place_this_one_first(member: User):
    sign_in(browser=PHONE)
    here = sign_in()
    page = here.get("/sign-ins/").text
    assert page.index("Firefox on Linux") < page.index("Safari on iPhone")
    assert page.count("Sign out there") == 1
    assert page.count(">here<") == 1


def test_signing_out_there_ends_that_place_alone(member: User):
    phone, tablet, here = sign_in(browser=PHONE), sign_in(), sign_in()
    here.post("/sign-ins/", {"which": key_hash(phone)})
    assert (is_signed_in(phone), is_signed_in(tablet), is_signed_in(here)) == (False, True, True)
    assert "not signed in there any more" in (
        here.post("/sign-ins/", {"which": key_hash(phone)}, follow=True).text
    )


def test_every_other_place_is_ended_at_once(member: User):
    others, here = [sign_in() for _ in range(3)], sign_in()
    here.post("/sign-ins/", {"which": "others"})
    assert [is_signed_in(one) for one in [*others, here]] == [False, False, False, True]


def test_nobody_signs_somebody_else_out(member: User):
    User.objects.create_user("tarn", password=PASSWORD)
    other, here = sign_in("tarn"), sign_in()
    here.post("/sign-ins/", {"which": key_hash(other)})
    here.post("/sign-ins/", {"which": "others"})
    assert is_signed_in(other)
    assert key_hash(other) not in here.get("/sign-ins/").text


def test_places_that_a_new_password_ended_are_not_listed(member: User):
    phone, here = sign_in(browser=PHONE), sign_in()
    new = "seven-lanterns-under-ice"
    here.post("/password/", {"old_password": PASSWORD, "new_password1": new, "new_password2": new})
    assert not is_signed_in(phone)
    page = here.get("/sign-ins/").text
    assert "Firefox on Linux" in page
    assert "Safari on iPhone" not in page


@pytest.mark.parametrize(
    ("field", "by"),
    [("expire_date", timedelta(seconds=1)), ("signed_in_at", timedelta(days=91))],
)
def test_places_over_a_limit_are_not_listed(member: User, field: str, by: timedelta):
    phone, here = sign_in(browser=PHONE), sign_in()
    past = timezone.now() - by
    Session.objects.filter(pk=key_hash(phone)).update(**{field: past})
    assert "Safari on iPhone" not in here.get("/sign-ins/").text


def test_a_stranger_is_sent_to_sign_in(member: User):
    assert Client().get("/sign-ins/").headers["Location"] == "/sign-in/?next=/sign-ins/"
    assert Client().post("/sign-ins/", {"which": "others"}).status_code == 302


def test_an_erased_account_leaves_no_session(member: User):
    here = sign_in()
    member.delete()
    assert not Session.objects.exists()
    assert not is_signed_in(here)


def test_sessions_that_are_over_go_with_the_next_sign_in(member: User):
    phone, tablet = sign_in(browser=PHONE), sign_in()
    Session.objects.filter(pk=key_hash(phone)).update(expire_date=timezone.now())
    here = sign_in()
    kept = set(Session.objects.values_list("pk", flat=True))
    assert kept == {key_hash(tablet), key_hash(here)}
