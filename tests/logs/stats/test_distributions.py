import numpy as np
import pandas as pd
import pytest

from logs.stats.distributions import ODD_Z, ex_gaussian_fit, robust_z, shape

W5F = pd.Series(
    [
        512, 548, 561, 574, 590, 603, 611, 624, 633, 648, 655, 667,
        682, 694, 713, 731, 758, 792, 845, 902, 988, 1104, 1297, 1610,
    ],
    dtype="float64",
)  # fmt: skip


def test_w5f_ex_gaussian():
    """Worked example W5f; maximum likelihood, times in seconds."""
    found = ex_gaussian_fit(W5F)
    assert found.mu_ms == pytest.approx(539.5, abs=0.1)
    assert found.sigma_ms == pytest.approx(31, abs=1)
    assert found.tau_ms == pytest.approx(224.7, abs=0.1)
    assert found.mu_ms + found.tau_ms == pytest.approx(W5F.mean(), abs=0.1)
    assert -found.log_likelihood == pytest.approx(-8.94, abs=0.01)


def test_w5f_two_are_flagged_and_none_removed():
    flagged = W5F[[z >= ODD_Z for z in robust_z(W5F)]]
    assert list(flagged) == [1297, 1610]
    logs = np.log(W5F.to_numpy())
    middle = np.median(logs)
    flag_at = np.exp(middle + ODD_Z * 1.4826 * np.median(np.abs(logs - middle)))
    assert flag_at == pytest.approx(1292, abs=1)
    found = shape(W5F)
    assert found is not None
    assert found.n == 24


def test_below_forty_times_only_median_and_slow_end_are_told():
    few, many = shape(W5F), shape(pd.concat([W5F, W5F + 1]))
    assert few is not None
    assert many is not None
    assert few.ex_gaussian is None
    assert few.median_ms == W5F.median()
    assert few.slow_ms == pytest.approx(W5F.quantile(0.9))
    assert many.ex_gaussian is not None


def test_made_times_give_back_what_made_them():
    rng = np.random.default_rng(2)
    times = pd.Series(rng.normal(600, 50, 20_000) + rng.exponential(250, 20_000))
    found = ex_gaussian_fit(times)
    assert [found.mu_ms, found.sigma_ms, found.tau_ms] == pytest.approx([600, 50, 250], rel=0.05)


def test_the_unit_and_the_order_change_nothing():
    plain, scaled = ex_gaussian_fit(W5F), ex_gaussian_fit(10 * W5F[::-1])
    assert scaled.tau_ms == pytest.approx(10 * plain.tau_ms, rel=1e-9)
    assert scaled.mu_ms == pytest.approx(10 * plain.mu_ms, rel=1e-9)


@pytest.mark.parametrize(
    ("times", "median"), [([500.0], 500), ([500.0] * 60, 500), ([500.0, np.nan, 700.0], 600)]
)
def test_dumb_cases(times, median):
    found = shape(pd.Series(times))
    assert found is not None
    assert found.median_ms == median
    assert found.ex_gaussian is None


def test_without_a_time_there_is_no_shape():
    assert shape(pd.Series(dtype=float)) is None
