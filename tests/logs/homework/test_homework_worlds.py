"""Members who did and members who did not get faster: how often the figures say so."""

import numpy as np
import pytest

from logs.stats.curves import TrendState, trend
from logs.stats.rates import AdoptionState, adoption, error_rates

SIZES = [100, pytest.param(1000, marks=pytest.mark.bench)]
"""1,000 members; the default run takes a tenth."""


def slack(n: int, share: float) -> float:
    """Two and a half standard errors of a share among ``n`` members."""
    return 2.5 * float(np.sqrt(share * (1 - share) / n))


@pytest.mark.parametrize("n", SIZES)
def test_a_case_that_is_not_learnt_is_seldom_verified(n):
    """The whole check, restarts and all (our own bound: at most 5 %)."""
    rng = np.random.default_rng(43)
    ends = [adoption(rng.random(200) < 0.30) for _ in range(10 * n)]
    share = np.mean([end.state is AdoptionState.VERIFIED for end in ends])
    exact = error_rates(0.30).verified_in_all
    assert exact <= 0.05
    assert share == pytest.approx(exact, abs=slack(10 * n, exact))


@pytest.mark.parametrize("n", SIZES)
@pytest.mark.parametrize("n_sightings", [12, 60])
def test_a_member_who_improves_is_seldom_called_level(n, n_sightings):
    """Improving by just what counts as a change: 3 % in ten sightings."""
    rng = np.random.default_rng(44)
    slope = np.log(0.97) / 10
    claims = 0
    for _ in range(n):
        times = np.exp(7.6 + slope * np.arange(n_sightings) + rng.normal(0, 0.05, n_sightings))
        found = trend(list(times))
        assert found is not None
        claims += found.state is TrendState.PLATEAU
    assert claims / n <= 0.05 + (slack(n, 0.05) if n < 1000 else slack(n, 0.05) / 2)
