"""Members who did and members who did not get faster: how often the figures say so."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
import pytest

from logs.stats.adoption import AdoptionState, adoption, error_rates
from logs.stats.effect import Effect, effect, pooled_before
from logs.stats.grid import pooled_times
from logs.stats.likelihood import VERY_LIKELY
from logs.stats.plateaus import TrendState, trend
from logs.stats.pooling import case_sums

SIZES = [100, pytest.param(1000, marks=pytest.mark.bench)]
"""1,000 members; the default run takes a tenth."""
TAU, SIGMA, MU = 0.15, 0.22, 1.36
N_CASES, N_AFTER = 20, 6


def slack(n: int, share: float) -> float:
    """Two and a half standard errors of a share among ``n`` members."""
    return 2.5 * float(np.sqrt(share * (1 - share) / n))


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was said of one member's homework, and the change there really was."""

    said: Effect
    true_change: float


def homework(rng: np.random.Generator, change_sd: float, *, slowest: bool) -> Outcome:
    """A member's two-look case is set as homework: the slowest by shrunk time, or any."""
    theta = rng.normal(MU, TAU, N_CASES)
    n = rng.integers(2, 10, N_CASES)
    names = [f"{i:02}" for i in range(N_CASES)]
    index = np.repeat(names, n)
    times = pd.Series(1000 * np.exp(rng.normal(np.repeat(theta, n), SIGMA)), index=index)
    pooled = pooled_times(case_sums(times))
    assert pooled is not None
    shrunk = pooled.log_times.weights @ pooled.log_times.means
    chosen = names[int(shrunk.argmax()) if slowest else rng.integers(N_CASES)]
    change = rng.normal(0, change_sd) if change_sd else 0.0
    after = 1000 * np.exp(rng.normal(theta[names.index(chosen)] + change, SIGMA, N_AFTER))
    before = pooled_before(times[times.index == chosen], pooled=pooled, case=chosen)
    said = effect(before, pd.Series(after))
    assert said is not None
    return Outcome(said, change)


@pytest.mark.parametrize("n", SIZES)
def test_without_an_effect_very_likely_faster_is_said_of_few(n):
    rng = np.random.default_rng(41)
    said = [homework(rng, 0.0, slowest=True).said for _ in range(n)]
    share = np.mean([one.p_faster >= VERY_LIKELY for one in said])
    assert share <= 0.10 + (slack(n, 0.10) if n < 1000 else 0)
    raw = np.mean([one.raw_ratio < 1 for one in said])
    assert raw > 0.6  # the raw comparison credits what was only chosen for being slow


@pytest.mark.parametrize("n", SIZES)
@pytest.mark.parametrize("slowest", [True, False], ids=["slowest", "any"])
def test_with_an_effect_bands_hold_what_they_say(n, slowest):
    rng = np.random.default_rng(42)
    outcomes = [homework(rng, 0.30, slowest=slowest) for _ in range(n)]
    held = np.mean(
        [np.log(one.said.low) <= one.true_change <= np.log(one.said.high) for one in outcomes]
    )
    assert held == pytest.approx(0.80, abs=0.03 if n >= 1000 else slack(n, 0.80))


@pytest.mark.parametrize("n", SIZES)
def test_a_case_that_is_not_learnt_is_seldom_verified(n):
    """The whole check, restarts and all (property 7 of the design: at most 5 %)."""
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
