"""How long a case took before homework, told so that chance is not taken for progress."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, exp
from typing import Final

import numpy as np
import pandas as pd
from scipy.special import ndtri
from scipy.stats import fisher_exact

from logs.stats.distributions import Floats, NormalMixture
from logs.stats.grid import PooledTimes
from logs.stats.pooling import Spread
from logs.stats.rates import probability_larger_rate


@dataclass(frozen=True, slots=True, eq=False)
class Before:
    """What is known of a case before homework, shrunk towards the member's other cases.

    Homework picks slow cases, and the slow get faster by themselves (Barnett, van der Pols and
    Dobson 2005): an unshrunk before would credit any homework with that.

    Attributes:
        n: Timed sightings.
        raw_log: Their mean of ln seconds, unshrunk.
        log_time: ln seconds of the case's typical time, a mixture of one case.
        sigma: sd of log times within a case at each node of the mixture.
    """

    n: int
    raw_log: float
    log_time: NormalMixture
    sigma: Floats


def held_before(times_ms: pd.Series, *, mean_ms: float, spread: Spread) -> Before | None:
    """The before with the member's two-look mean, tau and sigma taken as known; None of none.

    Args:
        times_ms: float64 ms above 0, all sightings before homework, any order; NaN left out.
        mean_ms: Typical two-look time of the member's other cases (geometric mean).
        spread: tau between cases, sigma within one.
    """
    logs = log_seconds(times_ms)
    if not logs.size:
        return None
    tau2, sigma2 = spread.tau**2, spread.sigma**2
    weight = tau2 / (tau2 + sigma2 / logs.size)
    prior = float(np.log(mean_ms / 1000))
    raw = float(logs.mean())
    centre = prior + weight * (raw - prior)
    sd = np.sqrt(tau2 * (1 - weight))
    mixture = NormalMixture(np.ones(1), np.array([[centre]]), np.array([[sd]]))
    return Before(logs.size, raw, mixture, np.array([spread.sigma]))


def pooled_before(times_ms: pd.Series, *, pooled: PooledTimes | None, case: str) -> Before | None:
    """The before from the member's pooled two-look times: the one to show.

    The doubt about mean, tau and sigma is kept: a band that takes them as known is too narrow for
    a case that was chosen for being slow.

    Args:
        times_ms: As for `held_before`, the sightings of ``case`` alone.
        pooled: All of the member's two-look times before homework, this case's among them.
        case: The case.
    """
    logs = log_seconds(times_ms)
    if not logs.size or pooled is None:
        return None
    column = [pooled.cases.index(case)]
    mixture = NormalMixture(
        pooled.log_times.weights,
        pooled.log_times.means[:, column],
        pooled.log_times.sds[:, column],
    )
    return Before(logs.size, float(logs.mean()), mixture, pooled.sigma)


def log_seconds(times_ms: pd.Series) -> Floats:
    """Ln seconds of the times, sorted; NaN left out."""
    return np.sort(np.log(times_ms.dropna().to_numpy(dtype=float) / 1000))


BAND = 0.80


USUAL_CHANGE = 0.30


@dataclass(frozen=True, slots=True)
class Change:
    """A change of log time with its variance; 0 and 0 where there is no control."""

    log_ratio: float
    variance: float


NO_CONTROL: Final = Change(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Effect:
    """Before and after.

    Attributes:
        n_before: Timed sightings before.
        n_after: Timed sightings after, misfires included.
        raw_ratio: After over before as they stand: flattered by how the case was chosen.
        before_ms: The shrunk before.
        honest_ratio: After over that before, net of the control.
        ratio: The same with the usual size of changes in mind: the figure to show.
        low: Lower end of its band.
        high: Upper end.
        p_faster: Chance that the case got faster.
        p_tenth_faster: Chance that it takes at most 90 % of what it took.
    """

    n_before: int
    n_after: int
    raw_ratio: float
    before_ms: float
    honest_ratio: float
    ratio: float
    low: float
    high: float
    p_faster: float
    p_tenth_faster: float


def effect(
    before: Before | None,
    after_ms: pd.Series,
    *,
    control: Change = NO_CONTROL,
    change_sd: float = USUAL_CHANGE,
    band: float = BAND,
) -> Effect | None:
    """The change of one case, or None when either side has no time.

    The change of log time has a normal prior about 0 (Gelman et al., Bayesian Data Analysis).

    Args:
        before: As from `pooled_before`.
        after_ms: float64 ms above 0, all sightings after, misfires included; NaN left out.
        control: What untouched two-look cases of the member did meanwhile (`control_change`).
        change_sd: Usual size of a change of log time; sd of its logs.
        band: How often such a band holds the truth, between 0 and 1.
    """
    after = log_seconds(after_ms)
    if before is None or not after.size:
        return None
    change = _change(before, after, control, change_sd)
    centre = float(before.log_time.weights @ before.log_time.means[:, 0])
    low, middle, high = (
        exp(float(change.quantile(share)[0])) for share in ((1 - band) / 2, 0.5, (1 + band) / 2)
    )
    return Effect(
        n_before=before.n,
        n_after=after.size,
        raw_ratio=exp(float(after.mean()) - before.raw_log),
        before_ms=1000 * exp(centre),
        honest_ratio=exp(float(after.mean()) - centre - control.log_ratio),
        ratio=middle,
        low=low,
        high=high,
        p_faster=float(change.cdf([0.0])[0]),
        p_tenth_faster=float(change.cdf([np.log(0.9)])[0]),
    )


def _change(before: Before, after: Floats, control: Change, change_sd: float) -> NormalMixture:
    """The posterior of the change of log time; what came after speaks on the nodes too."""
    centre, sd, sigma = before.log_time.means[:, 0], before.log_time.sds[:, 0], before.sigma
    seen = float(after.mean()) - centre - control.log_ratio
    variance = sd**2 + sigma**2 / after.size + control.variance
    whole = change_sd**2 + variance
    square_sum = float(((after - after.mean()) ** 2).sum())
    log_weights = (
        -0.5 * np.log(whole)
        - seen**2 / (2 * whole)
        - (after.size - 1) * np.log(sigma)
        - square_sum / (2 * sigma**2)
    )
    weights = before.log_time.weights * np.exp(log_weights - log_weights.max())
    shrink = change_sd**2 / whole
    return NormalMixture(
        weights / weights.sum(),
        (shrink * seen)[:, None],
        np.sqrt(variance * shrink)[:, None],
    )


def control_change(
    before_ms: Mapping[str, pd.Series], after_ms: Mapping[str, pd.Series], *, sigma: float
) -> Change:
    """What the member's untouched two-look cases did over the same time.

    Each case's change of mean log time counts by its precision, ``1 / (sigma^2 (1/n + 1/m))``.

    Args:
        before_ms: Times of each control case before, by case.
        after_ms: The same after; a case without times on both sides is left out.
        sigma: sd of log times within a case, above 0.
    """
    changes, precisions = [], []
    for case in sorted(before_ms.keys() & after_ms.keys()):
        before, after = log_seconds(before_ms[case]), log_seconds(after_ms[case])
        if before.size and after.size:
            changes.append(float(after.mean() - before.mean()))
            precisions.append(1 / (sigma**2 * (1 / before.size + 1 / after.size)))
    if not changes:
        return NO_CONTROL
    return Change(float(np.average(changes, weights=precisions)), 1 / sum(precisions))


def sightings_for_power(
    faster_share: float, *, sigma: float, power: float = 0.80, alpha: float = 0.05
) -> int:
    """Sightings on each side that show a case ``faster_share`` faster, by a one-sided test.

    Below so many say "cannot tell yet", never "no progress". Normal approximation (textbook).

    Args:
        faster_share: Share of the time saved, between 0 and 1.
        sigma: sd of log times within a case.
        power: Chance to see it.
        alpha: Chance to see what is not there.

    Raises:
        ValueError: ``faster_share`` is not between 0 and 1.
    """
    if not 0 < faster_share < 1:
        raise ValueError(f"faster_share is {faster_share}: it must lie between 0 and 1")
    reach = float(ndtri(power) + ndtri(1 - alpha))
    return ceil(2 * (sigma * reach / float(np.log1p(-faster_share))) ** 2)


@dataclass(frozen=True, slots=True)
class RateChange:
    """One-look rate before and after.

    Attributes:
        p: One-sided Fisher p; for one look at one time.
        p_larger: Chance that the rate rose, from Beta(1/2, 1/2) on each side.
    """

    p: float
    p_larger: float


def rate_change(before: tuple[int, int], after: tuple[int, int]) -> RateChange:
    """The change of a one-look rate.

    Args:
        before: Hits and sightings before.
        after: Hits and sightings after.

    Raises:
        ValueError: Hits and sightings do not fit together.
    """
    for n_hits, n in (before, after):
        if not 0 <= n_hits <= n:
            raise ValueError(f"{n_hits} hits of {n}: they must lie between 0 and {n}")
    rows: Sequence[Sequence[int]] = [
        [after[0], after[1] - after[0]],
        [before[0], before[1] - before[0]],
    ]
    p = float(fisher_exact(rows, alternative="greater").pvalue)
    return RateChange(p, probability_larger_rate(after, before))
