"""Pooling from kept sums is pooling from the times themselves."""

import numpy as np
import pandas as pd
import pytest
from scipy.stats import gmean

from cubecore.cases import Stage
from logs.cases.facts import case_chances
from logs.club.figures import LogSums, case_sums_of_tallies, estimates, geometric_means
from logs.stats.grid import pooled_times
from logs.stats.pooling import case_sums
from tests.logs.stats.worked import OLL_CHANCES, PLL_CHANCES, W1_TIMES, case_times


def kept(times: pd.Series) -> dict[str, LogSums]:
    return {
        str(case): LogSums(
            len(group), float(np.log(group).sum()), float((np.log(group) ** 2).sum())
        )
        for case, group in times.groupby(level=0)
    }


def times_of(n_cases: int) -> pd.Series:
    rng = np.random.default_rng(7)
    cases = rng.choice([str(case) for case in range(1, n_cases + 1)], size=8 * n_cases)
    return pd.Series(np.exp(rng.normal(7, 0.4, cases.size)), index=cases)


@pytest.mark.parametrize("n_cases", [1, 4, 30])
def test_the_sums_are_those_of_the_times(n_cases: int):
    times = times_of(n_cases)
    turns = {str(case): 6 + case for case in range(1, n_cases + 1)}
    for known in (None, turns):
        wanted, found = (
            case_sums(times, turns=known),
            case_sums_of_tallies(kept(times), turns=known),
        )
        assert found.cases == wanted.cases
        assert found.n == pytest.approx(wanted.n)
        assert found.mean == pytest.approx(wanted.mean)
        assert found.square_sum == pytest.approx(wanted.square_sum)
        assert found.design == pytest.approx(wanted.design)


def test_a_case_without_a_time_is_asked_for_all_the_same():
    times = times_of(4)
    found = case_sums_of_tallies(kept(times) | {"99": LogSums(0, 0.0, 0.0)})
    wanted = case_sums(times, cases=["99"])
    assert found.cases == wanted.cases
    assert found.mean == pytest.approx(wanted.mean)


def test_equal_times_leave_no_spread_below_nothing():
    found = case_sums_of_tallies(kept(pd.Series([1234.0] * 50, index=["27"] * 50)))
    assert found.square_sum == pytest.approx(0, abs=1e-9)
    assert found.square_sum >= 0


def test_estimates_lie_in_the_bands_of_w1():
    """Worked example W1b: the grid's medians and 80 % bands of eight cases."""
    pooled = pooled_times(case_sums_of_tallies(kept(case_times(W1_TIMES))))
    assert pooled is not None
    table = pooled.table()
    for case, one in estimates(pooled).items():
        assert np.exp(one.log_time) == pytest.approx(table.loc[case, "centre_ms"], rel=0.03)
        half = float(np.log(table["high_ms"] / table["low_ms"])[case]) / 2
        assert one.variance**0.5 == pytest.approx(half / 1.2816, rel=0.12)


def test_geometric_means_are_scipys():
    times = pd.Series([800.0, 900.0, 1300.0, 700.0], index=["27", "27", "27", "33"])
    sums = kept(times)
    assert geometric_means(sums, least=3) == pytest.approx({"27": gmean(times["27"])})
    assert geometric_means(sums, least=0).keys() == {"27", "33"}
    assert geometric_means({"1": LogSums(0, 0.0, 0.0)}, least=0) == {}


def test_chances_leave_the_skip():
    """Orbit sizes: 216 and 72 with the skip, 57 and 21 cases."""
    oll, pll = case_chances(Stage.OLL), case_chances(Stage.PLL)
    assert (len(oll), len(pll)) == (57, 21)
    assert 1 - sum(oll.values()) == pytest.approx(1 / 216)
    assert 1 - sum(pll.values()) == pytest.approx(1 / 72)
    assert dict(oll) == OLL_CHANCES
    assert dict(pll) == PLL_CHANCES
