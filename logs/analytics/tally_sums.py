"""Pooling from sums kept beside the sightings, without reading one of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, log

import numpy as np

from logs.analytics.comparison import Estimate
from logs.analytics.grid import PooledTimes
from logs.analytics.pooling import CaseSums, case_design

_LOG_1000 = log(1000)


@dataclass(frozen=True, slots=True)
class LogSums:
    """The times of one case: how many, the sum of their ln(ms), and of its squares."""

    n: int
    log_sum: float
    log_squares: float


def case_sums_of_tallies(
    sums: Mapping[str, LogSums], *, turns: Mapping[str, int] | None = None
) -> CaseSums:
    """What `logs.analytics.pooling.case_sums` makes of the same times, up to rounding.

    Args:
        sums: By case; one with no time is a case that is asked for and was never timed.
        turns: As for `case_sums`.
    """
    names = tuple(sorted(sums))
    n = np.array([sums[name].n for name in names], dtype=float)
    log_sum = np.array([sums[name].log_sum for name in names], dtype=float)
    squares = np.array([sums[name].log_squares for name in names], dtype=float)
    mean = log_sum / np.maximum(n, 1)
    within = float(np.maximum(squares - log_sum * mean, 0.0).sum())
    mean = np.where(n > 0, mean - _LOG_1000, 0.0)
    return CaseSums(names, n, mean, within, case_design(names, n, turns), np.zeros(len(names)))


def estimates(pooled: PooledTimes) -> dict[str, Estimate]:
    """Mean and variance of the log time (ln ms) of each case of a pooled member."""
    mixture = pooled.log_times
    mean = mixture.weights @ mixture.means
    variance = mixture.weights @ (mixture.sds**2 + mixture.means**2) - mean**2
    return {
        case: Estimate(float(centre) + _LOG_1000, max(float(spread), 0.0))
        for case, centre, spread in zip(pooled.cases, mean, variance, strict=True)
    }


def geometric_means(sums: Mapping[str, LogSums], *, least: int) -> dict[str, float]:
    """The geometric mean in ms of each case with ``least`` times (at least 1) or more."""
    return {case: exp(one.log_sum / one.n) for case, one in sums.items() if one.n >= max(least, 1)}
