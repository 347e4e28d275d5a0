import pandas as pd
import pytest

from logs.analytics.averages import average_of_5, best_single
from tests.logs.analytics.build import solves

DNF = float("nan")


# WCA Regulations 9b1: the best and the worst of five are left out, the mean of the others counts;
# 9f1 truncates an attempt, 9f2 rounds an average, both to the hundredth. Worked by hand.
@pytest.mark.parametrize(
    ("times", "average"),
    [
        ([12_340, 11_000, 13_000, 9_000, 20_000], 12_110),  # 36.34 / 3 = 12.1133
        ([10_000, 10_010, 10_010, 10_020, 99_000], 10_010),
        ([10_000, 10_009, 10_019, 10_029, 99_000], 10_010),  # truncated first: 10.00 10.01 10.02
        ([10_000, 10_000, 10_010, 10_010, 20_000], 10_010),  # 10.0066 rounds up
        ([DNF, 11_000, 12_000, 13_000, 10_000], 12_000),  # one DNF is the worst
    ],
)
def test_an_average_of_5_is_the_mean_of_the_middle_three(times, average):
    assert average_of_5(times) == average


def test_two_dnfs_make_the_average_a_dnf():
    found = average_of_5([DNF, 11_000, DNF, 13_000, 10_000])
    assert found is not None
    assert found != found


@pytest.mark.parametrize("n", [0, 1, 2, 4, 6])
def test_other_numbers_of_attempts_have_no_average_of_5(n):
    assert average_of_5([10_000] * n) is None


def test_the_best_single_leaves_out_dnfs():
    assert best_single(solves({"time_ms": DNF}, {"time_ms": 9_000}, {"time_ms": 8_000})) == 8_000
    assert best_single(solves({"time_ms": DNF})) is None
    assert best_single(pd.DataFrame({"time_ms": pd.Series(dtype="float64")})) is None
