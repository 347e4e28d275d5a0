import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logs.solves.figures.frames import (
    DNF,
    Result,
    average_of_5,
    counted_ms,
    mean_of_3,
    rolling_average,
    single,
)

NAN = float("nan")

# WCA Regulations, Article 9f; article numbers from memory.


@pytest.mark.parametrize(
    ("reading", "penalties", "counted"),
    [
        (12_349, 0, 12_340),  # 9f1: cut to the hundredth, not rounded
        (12_349, 1, 14_340),  # 10e3: two seconds on top
        (12_349, 2, 16_340),  # penalties add up
        (599_999, 0, 599_990),
        (600_499, 0, 600_000),  # 9f2: from ten minutes on to the second
        (600_500, 0, 601_000),
    ],
)
def test_a_time_counts_as_competition_has_it(reading, penalties, counted):
    assert counted_ms(reading, n_plus_two=penalties) == counted


def test_the_best_attempt_is_the_single():
    assert single([NAN, 12_349.0, 13_000.0]) == Result(12_340.0, is_dnf=False)
    assert single([NAN, NAN]) == DNF
    assert single([]) is None


@pytest.mark.parametrize(
    ("times", "average"),
    [
        ([10_000, 11_000, 12_000, 13_000, 99_000], 12_000),  # 9f8: best and worst left out
        ([10_000, 11_000, 12_000, 13_000, NAN], 12_000),  # 9f9: one DNF is the worst
        ([NAN, 10_000, 11_000, 12_000, 13_000], 12_000),
        ([10_000, 10_009, 10_000, 10_009, 10_009], 10_000),  # cut before it is averaged
        ([9_000, 10_000, 10_000, 10_010, 11_000], 10_000),  # x.00333 down
        ([9_000, 10_000, 10_010, 10_010, 11_000], 10_010),  # x.00666 up
        ([1, 600_000, 600_000, 602_000, 999_000], 601_000),  # 9f2: 600.67 to the second
    ],
)
def test_an_average_of_5(times, average):
    assert average_of_5(times) == Result(float(average), is_dnf=False)


def test_two_failed_attempts_fail_the_average():
    assert average_of_5([10_000, 11_000, 12_000, NAN, NAN]) == DNF


def test_a_mean_of_3_takes_all_three():
    assert mean_of_3([10_000, 11_000, 12_000]) == Result(11_000.0, is_dnf=False)
    assert mean_of_3([10_000, 11_000, NAN]) == DNF  # 9f11


@pytest.mark.parametrize("n", [0, 2, 4, 6])
def test_other_numbers_of_attempts_have_no_average(n):
    assert average_of_5([10_000.0] * n) is None
    assert mean_of_3([10_000.0] * n) is None


def test_a_half_hundredth_rounds_up():
    times = [10_000.0] * 6 + [10_010.0] * 6
    found = rolling_average(pd.Series(times), window=12)
    assert found["average_ms"].iloc[-1] == 10_010  # ten kept, mean 10.005


@pytest.mark.parametrize(("window", "left_out"), [(5, 1), (12, 1), (50, 3), (100, 5)])
def test_rolling_averages_leave_a_twentieth_out_at_either_end(window, left_out):
    """Common practice, no source."""
    rng = np.random.default_rng(window)
    times = pd.Series(np.floor(rng.uniform(900, 1500, window + 40)) * 10)
    times[[3, window + 5]] = NAN
    found = rolling_average(times, window=window)
    for end in range(len(times)):
        if end < window - 1:
            assert np.isnan(found["average_ms"][end])
            assert not found["is_dnf"][end]
            continue
        last = sorted(times.iloc[end - window + 1 : end + 1].fillna(np.inf))
        kept = last[left_out : window - left_out]
        assert found["is_dnf"][end] == (kept[-1] == np.inf)
        if kept[-1] < np.inf:
            assert found["average_ms"][end] == pytest.approx(np.mean(kept), abs=5)
            assert found["average_ms"][end] % 10 == 0


def test_more_failures_than_are_left_out_fail_the_average():
    times = pd.Series([10_000.0] * 12)
    times[[2, 7]] = NAN
    found = rolling_average(times, window=12)
    assert found["is_dnf"].iloc[-1]
    assert np.isnan(found["average_ms"].iloc[-1])


@given(st.permutations([10_120.0, 9_480.0, NAN, 12_010.0, 11_110.0]))
def test_the_order_of_the_five_does_not_matter(times):
    assert average_of_5(times) == Result(11_080.0, is_dnf=False)


@given(st.lists(st.integers(900, 90_000), min_size=5, max_size=5))
def test_five_in_a_row_are_the_average_of_5(hundredths):
    times = [10.0 * one for one in hundredths]
    rolled = rolling_average(pd.Series(times), window=5)["average_ms"].iloc[-1]
    result = average_of_5(times)
    assert result is not None
    assert rolled == result.time_ms


def test_no_attempt_no_average():
    for window in (5, 12, 100):
        assert rolling_average(pd.Series(dtype="float64"), window=window).empty


def test_a_window_of_two_is_refused():
    with pytest.raises(ValueError, match="window is 2"):
        rolling_average(pd.Series([1.0]), window=2)
