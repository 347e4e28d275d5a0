"""So many tries in a window that slides, for an account and for an address."""

from datetime import timedelta

import pytest
from django.utils import timezone

from clubsite.accounts.models import Throttle
from clubsite.accounts.throttle import Limit
from logs.errors import TooManyTriesError
from logs.people.services.passwords import API_CHANGE, INVITATION, try_count, try_forgive
from logs.solves.models.solves import Upload
from tests.factories import NOW, make_client, make_csv, make_rows, make_user

pytestmark = pytest.mark.django_db

LIMIT = Limit(
    scope="test", n_account=3, n_address=5, window=timedelta(minutes=15), message="Too often."
)


def tries(n: int, *, actor=None, address: str = "192.0.2.1", minute: float = 0) -> None:
    for _ in range(n):
        try_count(LIMIT, actor=actor, address=address, now=NOW + timedelta(minutes=minute))


def test_an_address_has_its_number_of_tries():
    tries(5)
    with pytest.raises(TooManyTriesError, match=r"^Too often\.$") as refusal:
        tries(1, minute=5)
    assert refusal.value.wait_s == 601  # the first try leaves after fifteen minutes
    tries(1, address="192.0.2.2")


def test_an_account_has_its_own_from_whatever_address():
    user = make_user()
    for number in range(3):
        tries(1, actor=user, address=f"198.51.100.{number}")
    with pytest.raises(TooManyTriesError):
        tries(1, actor=user, address="203.0.113.7")
    tries(1, actor=make_user(), address="203.0.113.7")


def test_the_window_slides():
    tries(3, minute=0)
    tries(2, minute=10)
    with pytest.raises(TooManyTriesError):
        tries(1, minute=14)
    tries(3, minute=15.1)  # the first three have left, the two have not
    with pytest.raises(TooManyTriesError):
        tries(1, minute=15.2)


def test_knocking_at_a_shut_door_does_not_keep_it_shut():
    tries(5)
    for minute in range(1, 15):
        with pytest.raises(TooManyTriesError):
            tries(1, minute=minute)
    tries(1, minute=15.1)


def test_a_try_that_was_no_guess_is_taken_back():
    tries(2)
    for minute in range(10):
        tries(1, minute=minute)
        now = NOW + timedelta(minutes=minute)
        try_forgive(LIMIT, actor=None, address="192.0.2.1", now=now)
    tries(3)
    with pytest.raises(TooManyTriesError):
        tries(1)


def test_no_address_and_no_account_is_stored_and_old_counters_go():
    user = make_user()
    tries(1, actor=user)
    rows = str(list(Throttle.objects.values()))
    assert "192.0.2.1" not in rows
    tries(1, address="192.0.2.9", minute=20)
    assert Throttle.objects.count() == 1


def test_an_account_s_counter_goes_with_it():
    user = make_user()
    tries(3, actor=user)
    user.delete()
    assert Throttle.objects.count() == 1  # the address's


def test_logs_sent_by_page_count_as_a_program_s_do():
    client, log = make_client(user := make_user()), {"text": make_csv(make_rows(1)).decode()}
    for _ in range(API_CHANGE.n_account - 1):
        try_count(API_CHANGE, actor=user, address="192.0.2.1", now=timezone.now())
    assert client.post("/uploads/", log).status_code == 302
    answer = client.post("/uploads/", log)
    assert answer.status_code == 429
    assert 0 < int(answer["Retry-After"]) <= API_CHANGE.window.total_seconds() + 1
    assert Upload.objects.count() == 1


def test_codes_are_guessed_ten_times_by_an_account_and_thirty_from_an_address():
    assert (INVITATION.n_account, INVITATION.n_address) == (10, 30)
    assert INVITATION.window == timedelta(minutes=15)
