import numpy as np
import pandas as pd
import pytest
from scipy.stats import norm

from logs.stats.effect import (
    NO_CONTROL,
    Change,
    Effect,
    control_change,
    effect,
    held_before,
    pooled_before,
    rate_change,
    sightings_for_power,
)
from logs.stats.grid import pooled_times
from logs.stats.likelihood import Likelihood, likelihood
from logs.stats.pooling import Spread, case_sums
from tests.logs.stats.worked import W1_TIMES, case_times

BEFORE = 1000 * pd.Series([4.31, 3.88, 4.75, 4.02, 5.10, 4.46])
AFTER = 1000 * pd.Series([3.05, 3.62, 2.91, 3.97, 3.20])
MEAN_MS, SPREAD = 3900.0, Spread(tau=0.15, sigma=0.22)


def measured(
    before: pd.Series = BEFORE, after: pd.Series = AFTER, *, mean_ms: float = MEAN_MS, **changes
) -> Effect:
    found = effect(held_before(before, mean_ms=mean_ms, spread=SPREAD), after, **changes)
    assert found is not None
    return found


def series(low: float, high: float, n: int) -> pd.Series:
    return pd.Series(np.linspace(low, high, n))


def test_w4c_raw_and_honest():
    """Worked example W4c."""
    found = measured()
    assert found.raw_ratio == pytest.approx(0.756, abs=0.001)
    assert np.exp(np.log(BEFORE).mean()) == pytest.approx(4401, abs=1)
    assert found.before_ms == pytest.approx(4263, abs=1)
    assert found.honest_ratio == pytest.approx(0.781, abs=0.001)


def test_w4c_with_the_usual_size_of_changes_in_mind():
    found = measured()
    assert found.ratio == pytest.approx(0.810, abs=0.001)
    assert [found.low, found.high] == pytest.approx([0.70, 0.94], abs=0.01)
    assert found.p_faster == pytest.approx(0.966, abs=0.001)
    assert found.p_tenth_faster == pytest.approx(0.82, abs=0.01)


def test_w4c_rate():
    found = rate_change((0, 7), (4, 5))
    assert found.p == pytest.approx(0.010, abs=0.001)
    assert found.p_larger == pytest.approx(0.999, abs=0.001)


@pytest.mark.parametrize(("share", "n"), [(0.15, 23), (0.25, 8), (0.35, 4)])
def test_sightings_that_show_a_change(share, n):
    """80 % power, one-sided 5 %, sigma 0.22; normal approximation, textbook."""
    assert sightings_for_power(share, sigma=0.22) == n


def test_the_change_is_told_net_of_control_cases():
    plain, net = measured(), measured(control=Change(-0.1, 0.002))
    assert net.honest_ratio == pytest.approx(plain.honest_ratio * np.exp(0.1))
    assert net.p_faster < plain.p_faster
    unsure = measured(control=Change(-0.1, 0.02))
    assert unsure.high / unsure.low > net.high / net.low


def test_control_cases_count_by_their_precision():
    """Inverse-variance weighting, textbook."""
    one, two = pd.Series([4000.0] * 4), pd.Series([4000.0])
    found = control_change(
        {"a": one, "b": two, "c": one, "d": pd.Series([np.nan])},
        {"a": 0.9 * one, "b": two, "d": one},
        sigma=0.2,
    )
    assert found.log_ratio == pytest.approx(np.log(0.9) * 0.8)
    assert found.variance == pytest.approx(0.04 / 2.5)
    assert control_change({}, {}, sigma=0.2) == NO_CONTROL


def test_times_times_ten_change_no_ratio():
    scaled = measured(10 * BEFORE, 10 * AFTER, mean_ms=39_000)
    plain = measured()
    for figure in ("raw_ratio", "honest_ratio", "ratio", "low", "high", "p_faster"):
        assert getattr(scaled, figure) == pytest.approx(getattr(plain, figure), rel=1e-9)
    assert scaled.before_ms == pytest.approx(10 * plain.before_ms)


def test_order_changes_nothing():
    assert measured(BEFORE[::-1], AFTER[::-1]) == measured()


def test_one_sighting_on_either_side_is_no_finding():
    found = measured(BEFORE[:1], AFTER[:1])
    assert likelihood(found.p_faster) is not Likelihood.VERY_LIKELY
    assert 0 < found.low < found.ratio < found.high


def test_a_side_without_a_time_says_nothing():
    assert effect(held_before(BEFORE, mean_ms=MEAN_MS, spread=SPREAD), AFTER * np.nan) is None
    assert held_before(AFTER[:0], mean_ms=MEAN_MS, spread=SPREAD) is None
    assert pooled_before(BEFORE, pooled=None, case="a") is None
    assert effect(None, AFTER) is None


def test_the_pooled_before_is_the_pooled_time_of_the_case():
    times = case_times(W1_TIMES)
    pooled = pooled_times(case_sums(times))
    assert pooled is not None
    before = pooled_before(times[times.index == "G"], pooled=pooled, case="G")
    found = effect(before, 1000 * pd.Series([3.0, 3.2, 2.9]))
    assert found is not None
    assert found.n_before == 1
    centre = pooled.table()["centre_ms"]["G"]
    assert found.before_ms == pytest.approx(centre, rel=0.01)
    assert found.raw_ratio < found.honest_ratio < 1


def test_it_equals_weighted_draws_of_all_that_is_unknown():
    """Importance sampling of spread, before and change, the after sightings being the weights."""
    times = case_times(W1_TIMES)
    pooled = pooled_times(case_sums(times))
    assert pooled is not None
    after = np.log([2.5, 2.4, 2.9])
    found = effect(
        pooled_before(times[times.index == "D"], pooled=pooled, case="D"),
        pd.Series(1000 * np.exp(after)),
    )
    assert found is not None
    random = np.random.default_rng(15)
    place, mixture = pooled.cases.index("D"), pooled.log_times
    node = random.choice(mixture.weights.size, p=mixture.weights, size=1_000_000)
    theta = random.normal(mixture.means[node, place], mixture.sds[node, place])
    change = random.normal(0, 0.30, node.size)
    likelihoods = norm.pdf(after[:, None], theta + change, pooled.sigma[node]).prod(axis=0)
    assert np.average(change < 0, weights=likelihoods) == pytest.approx(found.p_faster, abs=0.004)
    for end, share in ((found.low, 0.1), (found.ratio, 0.5), (found.high, 0.9)):
        below = np.average(change < np.log(end), weights=likelihoods)
        assert below == pytest.approx(share, abs=0.004)


def test_bad_input_is_named():
    with pytest.raises(ValueError, match="faster_share is 0"):
        sightings_for_power(0, sigma=0.22)
    with pytest.raises(ValueError, match="3 hits of 2"):
        rate_change((3, 2), (0, 1))
