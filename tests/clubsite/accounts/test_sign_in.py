"""Signing in and out, and what happens to somebody who guesses."""

from datetime import timedelta

import pytest
from django.db import IntegrityError
from django.http import HttpRequest, HttpResponse
from django.test import Client
from django.urls import include, path

from clubsite.accounts.models import Throttle, User

PASSWORD = "plum-anvil-orbit-nine"

pytestmark = pytest.mark.django_db


def plain(request: HttpRequest) -> HttpResponse:
    return HttpResponse("words for members")


urlpatterns = [path("plain/", plain), path("", include("clubsite.urls"))]


@pytest.fixture
def member() -> User:
    return User.objects.create_user("Mirre", password=PASSWORD)


def attempt(password: str, *, name: str = "Mirre", address: str = "192.0.2.1", **headers: str):
    client = Client(REMOTE_ADDR=address, headers=headers)
    return client.post("/sign-in/", {"username": name, "password": password})


def is_signed_in(response: HttpResponse) -> bool:
    return response.status_code == 302


def let_pass(minutes: int) -> None:
    past = timedelta(minutes=minutes)
    for counter in Throttle.objects.all():
        counter.tries = [second - past.total_seconds() for second in counter.tries]
        counter.last_at -= past
        counter.save()


@pytest.mark.parametrize("name", ["Mirre", "mirre", "MIRRE"])
def test_capitals_in_a_name_do_not_matter(member: User, name: str):
    assert is_signed_in(attempt(PASSWORD, name=name))


def test_capitals_in_a_password_do(member: User):
    assert attempt(PASSWORD.upper()).status_code == 200


def test_two_names_that_differ_in_capitals_alone_are_refused_by_the_database(member: User):
    with pytest.raises(IntegrityError):
        User.objects.create_user("mirre", password=PASSWORD)


def test_a_user_needs_no_email_address(member: User):
    assert member.email == ""
    assert User.REQUIRED_FIELDS == []


def test_signing_in_starts_a_new_session(member: User):
    client = Client()
    planted = client.session
    planted.save()
    assert planted.session_key is not None
    assert client.get("/sign-in/").status_code == 200
    client.post("/sign-in/", {"username": "Mirre", "password": PASSWORD})
    assert client.session["_auth_user_id"] == str(member.pk)
    assert client.session.session_key != planted.session_key
    assert not planted.exists(planted.session_key)


def test_a_wrong_name_and_a_wrong_password_read_the_same(member: User):
    def words(response: HttpResponse) -> str:
        start = response.text.index('<div class="notice is-warning"')
        return response.text[start : response.text.index("</div>", start)]

    assert words(attempt("wrong")) == words(attempt(PASSWORD, name="nobody"))


def test_signing_out_takes_a_post(member: User):
    client = Client()
    client.force_login(member)
    assert client.get("/sign-out/").status_code == 405
    assert client.post("/sign-out/").headers["Location"] == "/sign-in/"
    assert client.get("/password/").headers["Location"].startswith("/sign-in/")


def test_after_signing_in_nobody_is_sent_to_another_site(member: User):
    response = Client().post(
        "/sign-in/?next=//evil.example/", {"username": "Mirre", "password": PASSWORD}
    )
    assert response.headers["Location"] == "/"


@pytest.mark.urls(__name__)
def test_a_page_that_says_nothing_of_it_is_closed_to_strangers(member: User):
    client = Client()
    assert client.get("/plain/").headers["Location"] == "/sign-in/?next=/plain/"
    client.force_login(member)
    assert client.get("/plain/").text == "words for members"


def test_ten_wrong_passwords_shut_the_door_from_whatever_addresses(member: User):
    answers = [attempt("wrong", address=f"198.51.100.{n}").status_code for n in range(1, 11)]
    assert answers == [200] * 10
    right = attempt(PASSWORD, address="203.0.113.7")
    assert right.status_code == 429
    assert 800 <= int(right.headers["Retry-After"]) <= 901
    assert "Wait 1" in right.text


def test_writing_the_name_in_capitals_does_not_open_it(member: User):
    for n in range(10):
        attempt("wrong", name="MIRRE" if n % 2 else "mirre")
    assert attempt(PASSWORD).status_code == 429


def test_the_door_opens_after_fifteen_minutes_though_somebody_kept_knocking(member: User):
    for _ in range(10):
        attempt("wrong")
    let_pass(14)
    assert attempt("wrong").status_code == 429
    let_pass(2)
    assert is_signed_in(attempt(PASSWORD))


def test_a_forged_forwarded_header_changes_nothing(member: User):
    for n in range(10):
        attempt("wrong", **{"x-forwarded-for": f"198.51.100.{n}", "user-agent": f"agent {n}"})
    assert attempt(PASSWORD, **{"x-forwarded-for": "203.0.113.1"}).status_code == 429
    assert Throttle.objects.count() == 2  # the account's, and the address's


def test_a_club_s_room_shares_an_address_and_stays_open(member: User):
    for n in range(50):
        assert attempt("wrong", name=f"somebody{n}").status_code == 200
    assert is_signed_in(attempt(PASSWORD))


def test_a_hundred_wrong_passwords_shut_the_address_alone(member: User):
    for n in range(100):
        assert attempt("wrong", name=f"somebody{n}").status_code == 200
    assert attempt(PASSWORD).status_code == 429
    assert is_signed_in(attempt(PASSWORD, address="203.0.113.7"))


def test_a_right_password_does_not_clear_what_others_guessed(member: User):
    for _ in range(9):
        attempt("wrong")
    assert is_signed_in(attempt(PASSWORD))
    assert [len(counter.tries) for counter in Throttle.objects.all()] == [9, 9]


def test_no_password_name_or_address_is_kept_with_the_wrong_tries(member: User):
    attempt("a-secret-typed-wrong")
    kept = str(list(Throttle.objects.values()))
    assert [word for word in ("a-secret-typed-wrong", "irre", "192.0.2.1") if word in kept] == []


def test_logs_hold_no_user_names(member: User, caplog: pytest.LogCaptureFixture):
    for _ in range(11):
        attempt("wrong")
    assert "mirre" not in caplog.text.lower()
    assert "192.0.2.1" not in caplog.text
