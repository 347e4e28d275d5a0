"""The shape of times: right-skewed, with a slow tail of sightings that "had to think"."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.stats import exponnorm, lognorm

from logs.analytics.mixtures import Floats

FITTED_FROM = 40


@dataclass(frozen=True, slots=True)
class ExGaussian:
    """A normal plus an exponential (Luce 1986; Heathcote, Popiel and Mewhort 1991).

    ``tau_ms`` describes the slow tail; the three are no processes (Matzke and Wagenmakers 2009).

    Attributes:
        mu_ms: Mean of the normal part.
        sigma_ms: Its sd.
        tau_ms: Mean of the exponential part.
        log_likelihood: For times in seconds.
    """

    mu_ms: float
    sigma_ms: float
    tau_ms: float
    log_likelihood: float


@dataclass(frozen=True, slots=True)
class LogNormal:
    """A log-normal, from ``shift_ms`` on.

    Attributes:
        median_ms: Median above the shift.
        log_sd: sd of the logs.
        shift_ms: 0 where none was fitted.
        log_likelihood: For times in seconds.
    """

    median_ms: float
    log_sd: float
    shift_ms: float
    log_likelihood: float


@dataclass(frozen=True, slots=True)
class Shape:
    """Times in short.

    Attributes:
        n: How many.
        median_ms: Their median.
        slow_ms: Their 90th percentile.
        ex_gaussian: Fitted from ``FITTED_FROM`` times on; None below, or when all are equal.
    """

    n: int
    median_ms: float
    slow_ms: float
    ex_gaussian: ExGaussian | None


def shape(times_ms: pd.Series) -> Shape | None:
    """The shape of a member's times, or None without one.

    Args:
        times_ms: float64 ms above 0, any order; NaN is left out.
    """
    times = _known(times_ms)
    if not times.size:
        return None
    is_fitted = times.size >= FITTED_FROM and np.ptp(times) > 0
    return Shape(
        times.size,
        float(np.median(times)),
        float(np.quantile(times, 0.9)),
        ex_gaussian_fit(times_ms) if is_fitted else None,
    )


def ex_gaussian_fit(times_ms: pd.Series) -> ExGaussian:
    """The most likely ex-Gaussian.

    Args:
        times_ms: As for `shape`, not all equal.
    """
    times, unit = _scaled(times_ms)
    spread = float(times.std())
    k, mu, sigma = exponnorm.fit(
        times, 3.0, loc=float(times.mean()) - 0.8 * spread, scale=0.3 * spread
    )
    likelihood = float(exponnorm.logpdf(times, k, mu, sigma).sum())
    mu_ms, sigma_ms, tau_ms = (float(value * unit) for value in (mu, sigma, k * sigma))
    return ExGaussian(mu_ms, sigma_ms, tau_ms, _in_seconds(likelihood, times, unit))


def log_normal_fit(times_ms: pd.Series, *, is_shifted: bool = False) -> LogNormal:
    """The most likely log-normal.

    With a shift, the likelihood has no end where the shift meets the fastest time: the local
    maximum below it is taken.

    Args:
        times_ms: As for `shape`, not all equal.
        is_shifted: Fit where it starts too, instead of at 0.
    """
    times, unit = _scaled(times_ms)
    if is_shifted:
        start = float(times.min() - 0.3 * (np.median(times) - times.min()))
        log_sd, shift, median = lognorm.fit(times, loc=start)
    else:
        log_sd, shift, median = lognorm.fit(times, floc=0)
    likelihood = float(lognorm.logpdf(times, log_sd, shift, median).sum())
    median_ms, shift_ms = float(median * unit), float(shift * unit)
    return LogNormal(median_ms, float(log_sd), shift_ms, _in_seconds(likelihood, times, unit))


def _known(times_ms: pd.Series) -> Floats:
    return np.sort(times_ms.dropna().to_numpy(dtype=float))


def _scaled(times_ms: pd.Series) -> tuple[Floats, float]:
    """Times over their median, and the median: fits then hang on no unit."""
    times = _known(times_ms)
    unit = float(np.median(times))
    return times / unit, unit


def _in_seconds(likelihood: float, times: Floats, unit_ms: float) -> float:
    return likelihood - times.size * float(np.log(unit_ms / 1000))
