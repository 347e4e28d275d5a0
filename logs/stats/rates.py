"""Shares of counts, each with its range."""

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from scipy.integrate import quad
from scipy.stats import beta as beta_distribution

from logs.stats.ranges import Range

BAND = 0.80


@dataclass(frozen=True, slots=True)
class Rate:
    """A share of counts.

    Attributes:
        n_hits: How often it happened.
        n: How often it could have.
        share: ``n_hits / n``, 0..1; null of none.
        range: Where the true share lies, 0..1.
    """

    n_hits: int
    n: int
    share: float | None
    range: Range


def rate(n_hits: int, n: int, *, band: float = BAND) -> Rate:
    """The share with its score interval (Wilson 1927, JASA 22).

    Args:
        n_hits: At least 0, at most ``n``.
        n: At least 0; of none the range is all of 0..1.
        band: How often such a range holds the true share, between 0 and 1.

    Raises:
        ValueError: The counts do not fit together.
    """
    if not 0 <= n_hits <= n:
        raise ValueError(f"n_hits is {n_hits}: it must lie between 0 and n = {n}")
    if n == 0:
        return Rate(0, 0, None, Range(low=0.0, high=1.0, level=band))
    z = NormalDist().inv_cdf((1 + band) / 2)
    share = n_hits / n
    middle = share + z * z / (2 * n)
    half = z * ((share * (1 - share) + z * z / (4 * n)) / n) ** 0.5
    scale = 1 + z * z / n
    low = 0.0 if n_hits == 0 else (middle - half) / scale
    high = 1.0 if n_hits == n else (middle + half) / scale
    return Rate(n_hits, n, share, Range(low=low, high=high, level=band))


def probability_larger_rate(first: tuple[int, int], second: tuple[int, int]) -> float:
    """P(first rate > second rate), each with a Beta(1/2, 1/2) prior.

    Integrated over the quantiles of the first, which are smooth where its density is not.

    Args:
        first: Hits and sightings.
        second: Hits and sightings.
    """
    one = beta_distribution(first[0] + 0.5, first[1] - first[0] + 0.5)
    other = beta_distribution(second[0] + 0.5, second[1] - second[0] + 0.5)
    value, _ = quad(lambda share: float(other.cdf(one.ppf(share))), 0, 1, limit=200, epsabs=1e-8)
    return float(np.clip(value, 0.0, 1.0))
