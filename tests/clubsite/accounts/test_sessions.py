"""A session ends: at its idle limit, which use moves, and at its absolute one, which nothing moves."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from clubsite.accounts.models import User

pytestmark = pytest.mark.django_db


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(User.objects.create_user("mirre"))
    return client


def age(client: Client, key: str, by: timedelta) -> None:
    session = client.session
    session[key] = (timezone.now() - by).isoformat()
    session.save()


def is_signed_in(client: Client) -> bool:
    return client.get("/password/").status_code == 200


def test_ninety_days_after_signing_in_it_is_over(client: Client):
    age(client, "signed_in_at", timedelta(days=89))
    assert is_signed_in(client)
    age(client, "signed_in_at", timedelta(days=90, seconds=1))
    assert not is_signed_in(client)


def test_a_session_without_its_time_of_signing_in_is_over(client: Client):
    session = client.session
    del session["signed_in_at"]
    session.save()
    assert not is_signed_in(client)


def test_the_idle_limit_is_two_weeks(client: Client, settings):
    assert timedelta(seconds=settings.SESSION_COOKIE_AGE) == timedelta(days=14)
    assert client.session.get_expiry_age() == settings.SESSION_COOKIE_AGE


def test_use_moves_the_idle_limit_once_a_day(client: Client):
    written = client.session["renewed_at"]
    assert is_signed_in(client)
    assert client.session["renewed_at"] == written
    age(client, "renewed_at", timedelta(days=1, seconds=1))
    response = client.get("/password/")
    assert response.cookies["session"]["max-age"] == 14 * 24 * 3600
    assert client.session["renewed_at"] > written


def test_reading_a_page_writes_nothing(client: Client, django_assert_num_queries):
    client.get("/password/")
    with django_assert_num_queries(2) as captured:  # the session, the user
        client.get("/password/")
    assert all(query["sql"].startswith("SELECT") for query in captured.captured_queries)
