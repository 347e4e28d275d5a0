"""Shares of counts, each with its range."""

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from scipy.integrate import quad
from scipy.special import betaln
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


DIFFERENT = 0.5
"""Belief, before a count is seen, that of all rates compared with another any differs at all."""


def probability_of_lean(there: tuple[int, int], back: tuple[int, int], *, n_pairs: int) -> float:
    """P(the first rate is the larger), against the belief that both rates are alike.

    Each rate has a Beta(1/2, 1/2) prior, where they differ as where they are one. The belief that
    they differ is shared among all pairs that could have been picked, so that the most lopsided of
    many even ones is not believed (a Bayes factor with a prior for multiplicity: Kass and Raftery
    1995; Scott and Berger 2006).

    Args:
        there: Hits and sightings.
        back: Hits and sightings the other way round.
        n_pairs: Pairs among which this one was picked, at least 1.
    """
    return belief_in_difference(there, back, n_pairs=n_pairs) * probability_larger_rate(there, back)


def belief_in_difference(first: tuple[int, int], second: tuple[int, int], *, n_pairs: int) -> float:
    """P(two rates differ), as `probability_of_lean` has it."""
    (x, n), (y, m) = first, second
    apart = betaln(x + 0.5, n - x + 0.5) + betaln(y + 0.5, m - y + 0.5) - betaln(0.5, 0.5)
    alike = betaln(x + y + 0.5, n + m - x - y + 0.5)
    odds = float(np.exp(apart - alike)) * (DIFFERENT / n_pairs) / (1 - DIFFERENT / n_pairs)
    return odds / (1 + odds)
