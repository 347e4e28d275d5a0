"""Medians with the band that order statistics give, and sightings that stand far out."""

from collections.abc import Iterable
from functools import lru_cache
from math import comb
from typing import NamedTuple

import numpy as np

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
