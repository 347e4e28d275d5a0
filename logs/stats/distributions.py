"""Mixtures of normal distributions: what is left of a model once its spread is averaged over."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import comb
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import ndtr
from scipy.stats import exponnorm

Floats = npt.NDArray[np.float64]


_HALVINGS = 40


_REACH = 12.0


_NEGLIGIBLE = 1e-13


@dataclass(frozen=True, slots=True, eq=False)
class NormalMixture:
    """One mixture of normals for each case, all with the same weights.

    Attributes:
        weights: One for each node, adding up to 1; shape (nodes,).
        means: Shape (nodes, cases).
        sds: At least 0; shape (nodes, cases).
    """

    weights: Floats
    means: Floats
    sds: Floats

    def cdf(self, values: npt.ArrayLike) -> Floats:
        """The chance that each case lies at or below its value; shape (cases,)."""
        with np.errstate(divide="ignore", invalid="ignore"):
            z = (np.asarray(values, dtype=float) - self.means) / self.sds
        z = np.where(np.isnan(z), 0.0, z)  # a value exactly at a point mass
        return np.asarray(self.weights @ ndtr(z), dtype=float)

    def quantile(self, share: float) -> Floats:
        """The value that each case stays below with chance ``share``, by bisection.

        Raises:
            ValueError: ``share`` is not between 0 and 1.
        """
        if not 0 < share < 1:
            raise ValueError(f"share is {share}: it must lie between 0 and 1")
        kept = self.weights > _NEGLIGIBLE
        some = NormalMixture(self.weights[kept], self.means[kept], self.sds[kept])
        low = (some.means - _REACH * some.sds).min(axis=0)
        high = (some.means + _REACH * some.sds).max(axis=0)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            is_below = some.cdf(middle) < share
            low, high = np.where(is_below, middle, low), np.where(is_below, high, middle)
        return np.asarray((low + high) / 2, dtype=float)

    def exponential_moments(self, extra: Floats) -> tuple[Floats, Floats]:
        """Mean and sd of ``exp(x + extra)`` of each case, ``extra`` one for each node.

        Source: moments of the log-normal distribution (textbook).
        """
        first = np.exp(self.means + self.sds**2 / 2 + extra[:, None])
        second = np.exp(2 * self.means + 2 * self.sds**2 + 2 * extra[:, None])
        mean = self.weights @ first
        variance = self.weights @ second - mean**2
        return np.asarray(mean, dtype=float), np.sqrt(np.maximum(variance, 0.0))


BAND = 0.80


ODD_Z = 3.5


class MedianBand(NamedTuple):
    """The median of some values and a band that needs no model.

    Attributes:
        n: How many values there were.
        median: Their median; None of none.
        low: Lower end of the band, one of the values.
        high: Upper end.
        held: How often such a band holds the median of all values there could be, 0..1.
    """

    n: int
    median: float | None
    low: float | None
    high: float | None
    held: float


def median_band(values: Iterable[float]) -> MedianBand:
    """The median of ``values``, NaN left out, and its band.

    The band is the narrowest pair of order statistics, equally far from both ends, that holds the
    true median in at least ``BAND`` of cases; smallest to largest where none does. Source:
    Conover, Practical Nonparametric Statistics (1999), confidence interval for a quantile.
    """
    known = np.asarray(list(values), dtype=float)
    known = np.sort(known[~np.isnan(known)])
    n = len(known)
    if n == 0:
        return MedianBand(0, None, None, None, 0.0)
    rank, held = _rank_and_coverage(n)
    median = float(np.median(known))
    return MedianBand(n, median, float(known[rank - 1]), float(known[n - rank]), held)


@lru_cache(maxsize=10_000)
def _rank_and_coverage(n: int) -> tuple[int, float]:
    """The rank from either end at which the band of ``n`` values ends, and what it holds.

    The band from rank ``k`` to ``n + 1 - k`` misses the median when fewer than ``k`` values fall
    on one side of it: twice the lower tail of a binomial with chance one half.
    """
    total = 2**n
    below = comb(n, 0)
    rank, missed = 1, 2 * below
    while rank < n // 2:
        below += comb(n, rank)
        if 2 * below > round((1 - BAND) * 100) * total // 100:
            break
        rank, missed = rank + 1, 2 * below
    return rank, max(0.0, 1 - missed / total)


def robust_z(values_ms: Iterable[float]) -> list[float]:
    """How far out each value lies on a log scale, in robust standard deviations.

    ``(y - median) / (1.4826 MAD)`` of ``y = ln(value)``; from ``ODD_Z`` on a value is worth a
    second look, never a deletion. 0 everywhere when at least half of the values are equal.
    Source: Iglewicz and Hoaglin (1993); NIST/SEMATECH e-Handbook 1.3.5.17.

    Args:
        values_ms: Times above 0; NaN stays NaN.
    """
    times = np.asarray(list(values_ms), dtype=float)
    if not np.isfinite(times).any():
        return [float("nan")] * len(times)
    logs = np.log(times)
    middle = np.nanmedian(logs)
    spread = 1.4826 * np.nanmedian(np.abs(logs - middle))
    if spread == 0:
        return [0.0 if np.isfinite(log) else float("nan") for log in logs]
    return [float(z) for z in (logs - middle) / spread]


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


def _known(times_ms: pd.Series) -> Floats:
    return np.sort(times_ms.dropna().to_numpy(dtype=float))


def _scaled(times_ms: pd.Series) -> tuple[Floats, float]:
    """Times over their median, and the median: fits then hang on no unit."""
    times = _known(times_ms)
    unit = float(np.median(times))
    return times / unit, unit


def _in_seconds(likelihood: float, times: Floats, unit_ms: float) -> float:
    return likelihood - times.size * float(np.log(unit_ms / 1000))
