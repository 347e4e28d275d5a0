"""The look ahead on a date, against the worked example and against `due_date` on random members."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logs.homework.due_dates import Need, due_date, solves_needed
from logs.homework.figures import forecast, weekly_counts

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
TODAY = date(2026, 3, 1)
WORKED_WEEKS = [60, 110, 85, 0, 140, 95, 70, 120]


# The design's worked example: 67.5 a week; 230 solves are 3.4 weeks, 312 are 4.6.
@pytest.mark.parametrize(("n_cases", "n_solves", "weeks"), [(1, 230, 3.4), (3, 312, 4.6)])
def test_the_worked_example(n_cases, n_solves, weeks):
    needs = [Need(4 / 216, 3)] * n_cases
    assert solves_needed(needs) == n_solves
    ahead = forecast(n_solves, counts=WORKED_WEEKS, today=TODAY, due_on=None)
    assert ahead.pace == 67.5
    assert ahead.first_fair_on is not None
    days = (ahead.first_fair_on - TODAY).days
    assert weeks - 0.05 <= days / 7 <= weeks + 0.05 + 1 / 7
    assert ahead.is_fair


def test_a_date_is_fair_from_the_first_fair_one_on():
    first = forecast(230, counts=WORKED_WEEKS, today=TODAY, due_on=None).first_fair_on
    assert first is not None
    for days, is_fair in ((-40, False), (-1, False), (0, True), (1, True)):
        on = first + timedelta(days=days)
        assert forecast(230, counts=WORKED_WEEKS, today=TODAY, due_on=on).is_fair is is_fair


def test_without_a_pace_no_date_is_fair_and_none_is_named():
    for counts in ([], [0, 0, 0, 50]):
        ahead = forecast(230, counts=counts, today=TODAY, due_on=date(2036, 1, 1))
        assert ahead.first_fair_on is None
        assert not ahead.is_fair


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.sampled_from([4, 2, 1]), min_size=1, max_size=3),
    st.lists(st.integers(0, 150), min_size=1, max_size=8),
)
def test_it_says_what_due_date_says(chances, counts):
    needs = [Need(k / 216, 3) for k in chances]
    ahead = forecast(solves_needed(needs), counts=counts, today=TODAY, due_on=None)
    if ahead.first_fair_on is None:
        assert not due_date(needs, weekly_counts=counts, days=3650).is_fair
        return
    days = (ahead.first_fair_on - TODAY).days
    assert due_date(needs, weekly_counts=counts, days=days).is_fair
    assert not due_date(needs, weekly_counts=counts, days=days - 1).is_fair


def test_weeks_end_now_and_quiet_ones_count():
    hour = timedelta(hours=1)
    done = [NOW, NOW - hour, NOW - timedelta(days=7) + hour, NOW - timedelta(days=15)]
    assert weekly_counts(done, since=NOW - timedelta(days=100), now=NOW) == [
        *[0] * 5,
        1,
        0,
        3,
    ]


def test_a_young_log_has_as_many_weeks_as_it_is_old():
    done = [NOW - timedelta(days=1), NOW - timedelta(days=9)]
    assert weekly_counts(done, since=done[1], now=NOW) == [1, 1]
    assert weekly_counts([], since=None, now=NOW) == []
    assert weekly_counts([NOW + timedelta(days=1)], since=NOW + timedelta(days=1), now=NOW) == []


def test_what_lies_outside_the_weeks_is_left_out():
    done = [NOW - timedelta(days=70), NOW + timedelta(hours=1)]
    assert sum(weekly_counts(done, since=done[0], now=NOW)) == 0
