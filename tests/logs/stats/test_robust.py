from itertools import product
from math import exp, log
from statistics import median

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logs.stats.distributions import BAND, ODD_Z, median_band, robust_z

CASE_A = [1840, 2310, 1560, 2630, 1730, 2180, 1490, 2910, 1970, 2420, 1650, 2050]
"""Sightings of a worked example, computed apart from this project with NumPy and SciPy."""

times = st.lists(st.floats(min_value=1, max_value=1e6), min_size=1, max_size=60)


# Coverage of order-statistic bands for a median (Conover 1999; binomial tail, also worked by hand).
@pytest.mark.parametrize(
    ("n", "rank", "held"),
    [(3, 1, 0.75), (4, 1, 0.875), (5, 1, 0.9375), (8, 2, 0.9297), (12, 4, 0.854)],
)
def test_the_band_ends_at_the_tabled_ranks(n, rank, held):
    band = median_band(range(1, n + 1))
    assert (band.low, band.high) == (rank, n + 1 - rank)
    assert band.held == pytest.approx(held, abs=5e-5)


def test_of_no_value_there_is_no_median():
    assert median_band([]) == (0, None, None, None, 0.0)
    assert median_band([float("nan")]).n == 0


def test_one_value_is_its_own_band_and_promises_nothing():
    assert median_band([7]) == (1, 7, 7, 7, 0.0)


def test_two_values_hold_the_median_half_of_the_time():
    assert median_band([9, 5]) == (2, 7, 5, 9, 0.5)


@pytest.mark.parametrize("n", range(1, 15))
def test_what_a_band_holds_is_what_counting_every_outcome_gives(n):
    # Slow twin: each value falls below or above the true median with chance one half.
    band = median_band(range(1, n + 1))
    assert band.low is not None
    rank = int(band.low)
    outcomes = list(product((0, 1), repeat=n))
    held = sum(rank <= sum(outcome) <= n - rank for outcome in outcomes)
    assert band.held == pytest.approx(held / len(outcomes), abs=1e-12)
    narrower = sum(rank + 1 <= sum(outcome) <= n - rank - 1 for outcome in outcomes)
    assert narrower / len(outcomes) < BAND


@given(times)
def test_the_band_holds_the_median_of_the_values_whatever_their_order(values):
    band = median_band(values)
    assert band == median_band(sorted(values, reverse=True))
    assert band.low is not None
    assert band.median is not None
    assert band.high is not None
    assert band.low <= band.median <= band.high
    assert band.median == pytest.approx(median(values))
    assert {band.low, band.high} <= set(values)


@given(times)
def test_all_times_doubled_double_the_band(values):
    band, doubled = median_band(values), median_band([2 * value for value in values])
    assert band.low is not None
    assert band.high is not None
    assert (doubled.low, doubled.high, doubled.held) == (2 * band.low, 2 * band.high, band.held)


def test_one_sighting_far_out_is_flagged_and_moves_the_median_little():
    # Worked example: 8.9 s among 12 usual ones has a robust z of 5.8; median 2.01 -> 2.05.
    values = [*CASE_A, 8900]
    scores = robust_z(values)
    assert scores[-1] == pytest.approx(5.8, abs=0.05)
    assert [score >= ODD_Z for score in scores] == [False] * 12 + [True]
    assert median_band(CASE_A).median == 2010
    assert median_band(values).median == 2050


def test_scores_are_those_of_a_plain_loop():
    logs = [log(value) for value in CASE_A]
    middle = median(logs)
    spread = 1.4826 * median(abs(value - middle) for value in logs)
    assert robust_z(CASE_A) == pytest.approx([(value - middle) / spread for value in logs])


def test_scores_do_not_depend_on_the_unit():
    assert robust_z(CASE_A) == pytest.approx(robust_z([exp(3) * value for value in CASE_A]))


@pytest.mark.parametrize("values", [[], [5.0], [5.0, 5.0], [5.0, 5.0, 5.0, 900.0]])
def test_equal_or_single_values_flag_nothing(values):
    assert robust_z(values) == [0.0] * len(values)


def test_unknown_times_have_no_score():
    scores = robust_z([5.0, float("nan"), 6.0, 8.0])
    assert scores[1] != scores[1]
    assert scores[0] == scores[0]
    assert all(score != score for score in robust_z([float("nan")]))
