"""How long a case took before homework, told so that chance is not taken for progress."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from logs.analytics.grid import PooledTimes
from logs.analytics.mixtures import Floats, NormalMixture
from logs.analytics.pooling import Spread


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
