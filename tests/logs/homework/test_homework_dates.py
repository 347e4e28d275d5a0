"""How soon chance brings a case, against the handbook's formula, and the weeks behind a pace."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import geom

from logs.homework.figures import solves_until_met, usual_week, weekly_counts, weekly_pace

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
WORKED_WEEKS = [60, 110, 85, 0, 140, 95, 70, 120]


# ln(1 - share) / ln(1 - chance), rounded up (geometric distribution, textbook): 80 and 90 in 100.
@pytest.mark.parametrize(
    ("chance", "p80", "p90"),
    [
        (4 / 216, 87, 124),
        (2 / 216, 174, 248),
        (1 / 216, 347, 497),
        (4 / 72, 29, 41),
        (2 / 72, 58, 82),
        (1 / 72, 116, 165),
    ],
)
def test_w4a_solves_until_the_first_sighting(chance, p80, p90):
    assert solves_until_met(chance, share=0.8) == p80
    assert solves_until_met(chance, share=0.9) == p90


@given(st.floats(1e-4, 0.9), st.floats(0.01, 0.99))
def test_it_is_the_quantile_of_the_geometric_distribution(chance, share):
    """scipy's geometric distribution is the twin; a quantile at a jump may fall on either side."""
    n = solves_until_met(chance, share=share)
    assert geom.cdf(n, chance) >= share - 1e-8
    assert n == 1 or geom.cdf(n - 1, chance) < share + 1e-8


@pytest.mark.parametrize(("chance", "share"), [(0, 0.5), (1, 0.5), (0.1, 0), (0.1, 1)])
def test_what_is_no_chance_is_refused(chance, share):
    with pytest.raises(ValueError, match="between 0 and 1"):
        solves_until_met(chance, share=share)


def test_a_slow_week_and_a_usual_one():
    """Worked by hand: sorted 0 60 70 85 95 110 120 140, quartile 67.5, median 90."""
    assert (weekly_pace(WORKED_WEEKS), usual_week(WORKED_WEEKS)) == (67.5, 90)
    assert (weekly_pace([]), usual_week([])) == (0, 0)
    assert usual_week([1000, *WORKED_WEEKS]) == 90  # the last eight alone


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
