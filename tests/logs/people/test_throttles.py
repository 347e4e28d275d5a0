"""So many tries in a window that slides, for an account and for an address."""

from datetime import timedelta

import pytest

from logs.errors import TooManyTriesError
from logs.people.models import Throttle
from logs.people.services.passwords import INVITATION, Limit, throttle_forget, try_check, try_count
from tests.factories import NOW, make_user

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


def test_looking_whether_it_is_open_counts_nothing():
    for _ in range(20):
        try_check(LIMIT, actor=None, address="192.0.2.1", now=NOW)
    tries(5)
    with pytest.raises(TooManyTriesError):
        try_check(LIMIT, actor=None, address="192.0.2.1", now=NOW)


def test_no_address_and_no_account_is_stored_and_old_counters_go():
    user = make_user()
    tries(1, actor=user)
    rows = str(list(Throttle.objects.values()))
    assert "192.0.2.1" not in rows
    tries(1, address="192.0.2.9", minute=20)
    assert Throttle.objects.count() == 1


def test_an_account_s_counter_can_be_forgotten():
    user = make_user()
    tries(3, actor=user)
    throttle_forget(actor=user)
    tries(1, actor=user, address="203.0.113.7")


def test_codes_are_guessed_ten_times_by_an_account_and_thirty_from_an_address():
    assert (INVITATION.n_account, INVITATION.n_address) == (10, 30)
    assert INVITATION.window == timedelta(minutes=15)
