"""The pooling model with its doubt about tau and sigma kept: the bands that are shown.

Half-normal(0.5) priors on tau and sigma, flat on the centre; averaged over a grid of midpoints.
No sampler: the same times give the same figure, to the bit.

The one scale of words for chances, and how many digits an estimate may show.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import floor, log10
from typing import Final

import numpy as np
import pandas as pd

from logs.stats.distributions import Floats, NormalMixture
from logs.stats.pooling import CaseSums, Conditional, Spread, conditional

BAND = 0.80


CLUB_BELOW = 4
"""With fewer timed cases than these tau and sigma are the club's, where it has them."""


KNOWN_RATIO = 1.5
"""A band whose ends lie further apart than this factor says "not known yet"."""


HOLLOW_BELOW = 3


TIME_COLUMNS: Final = ("n", "centre_ms", "low_ms", "high_ms", "weight", "is_known", "is_hollow")


_TAU = (0.0, 1.5, 30)


_SIGMA = (0.02, 0.6, 20)


_NEGLIGIBLE = 14.0


@dataclass(frozen=True, slots=True, eq=False)
class PooledTimes:
    """What is known of a member's typical time of each case.

    Attributes:
        cases: Names, in the order of ``log_times``.
        n: Sightings behind each.
        log_times: ln seconds of each case's typical (geometric mean) time.
        weights: B of each case, 0..1.
        sigma: sigma at each node of the mixture.
        spread: Posterior means of tau and sigma.
        mu: Posterior mean of the cases' centre, ln seconds.
    """

    cases: tuple[str, ...]
    n: tuple[int, ...]
    log_times: NormalMixture
    weights: tuple[float, ...]
    sigma: Floats
    spread: Spread
    mu: float

    def table(self, *, band: float = BAND) -> pd.DataFrame:
        """``TIME_COLUMNS`` indexed by case: median and band of each typical time, ms.

        ``weight`` is B; ``is_known`` is False when the band is too wide to name a time,
        ``is_hollow`` True below three sightings.

        Args:
            band: How often such a band holds the truth, between 0 and 1.
        """
        low, centre, high = (
            1000 * np.exp(self.log_times.quantile(share))
            for share in ((1 - band) / 2, 0.5, (1 + band) / 2)
        )
        n = np.array(self.n)
        return pd.DataFrame(
            {
                "n": n,
                "centre_ms": centre,
                "low_ms": low,
                "high_ms": high,
                "weight": self.weights,
                "is_known": high / low <= KNOWN_RATIO,
                "is_hollow": n < HOLLOW_BELOW,
            },
            index=pd.Index(self.cases, name="case", dtype="str"),
            columns=list(TIME_COLUMNS),
        )

    def mean_times(self) -> pd.DataFrame:
        """Expected time of a sighting and its doubt, ``mean_ms`` and ``sd_ms`` indexed by case.

        The arithmetic mean, ``exp(theta + sigma^2 / 2)``: seconds per solve add up in it.
        """
        mean, sd = self.log_times.exponential_moments(self.sigma**2 / 2)
        return pd.DataFrame(
            {"mean_ms": 1000 * mean, "sd_ms": 1000 * sd},
            index=pd.Index(self.cases, name="case", dtype="str"),
        )


def pooled_times(sums: CaseSums, *, club: Spread | None = None) -> PooledTimes | None:
    """The times of a member's cases, or None without a single time.

    Args:
        sums: As from `case_sums`.
        club: tau and sigma of the whole club, for members with fewer than ``CLUB_BELOW`` timed
            cases. Its speed is never used.
    """
    n_timed = np.count_nonzero(sums.n)
    if n_timed == 0:
        return None
    if n_timed < CLUB_BELOW and club is not None:
        tau, sigma = np.array([club.tau]), np.array([club.sigma])
        at = conditional(sums, tau, sigma)
        return _pooled(sums, tau, sigma, at, np.ones(1))
    tau, sigma = _nodes(_TAU, _SIGMA)
    weights = _node_weights(conditional(sums, tau, sigma), tau, sigma)
    # A second grid over the part that matters: many sightings make it small.
    tau, sigma = _nodes(_around(tau, weights, _TAU), _around(sigma, weights, _SIGMA))
    at = conditional(sums, tau, sigma)
    return _pooled(sums, tau, sigma, at, _node_weights(at, tau, sigma))


def _nodes(
    taus: tuple[float, float, int], sigmas: tuple[float, float, int]
) -> tuple[Floats, Floats]:
    """Midpoints of a grid of equal cells, as two flat arrays."""

    def midpoints(low: float, high: float, count: int) -> Floats:
        return np.asarray(low + (high - low) * (np.arange(count) + 0.5) / count, dtype=float)

    tau, sigma = np.meshgrid(midpoints(*taus), midpoints(*sigmas), indexing="ij")
    return tau.ravel(), sigma.ravel()


def _node_weights(at: Conditional, tau: Floats, sigma: Floats) -> Floats:
    log_posterior = at.log_likelihood - 2 * tau**2 - 2 * sigma**2
    weights = np.exp(log_posterior - log_posterior.max())
    return np.asarray(weights / weights.sum(), dtype=float)


def _around(
    values: Floats, weights: Floats, limits: tuple[float, float, int]
) -> tuple[float, float, int]:
    """The range of the nodes that carry weight and one cell more on either side."""
    low, high, count = limits
    cell = (high - low) / count
    kept = values[weights > weights.max() * np.exp(-_NEGLIGIBLE)]
    return max(low, kept.min() - 1.5 * cell), min(high, kept.max() + 1.5 * cell), count


def _pooled(
    sums: CaseSums, tau: Floats, sigma: Floats, at: Conditional, weights: Floats
) -> PooledTimes:
    return PooledTimes(
        cases=sums.cases,
        n=tuple(map(int, sums.n)),
        log_times=NormalMixture(weights, at.means, at.sds),
        weights=tuple(map(float, weights @ at.weights)),
        sigma=sigma,
        spread=Spread(float(weights @ tau), float(weights @ sigma)),
        mu=float(weights @ at.centre),
    )


class Likelihood(StrEnum):
    """How sure a claim is, in words that always mean the same.

    Source: IPCC calibrated language (Mastrandrea et al. 2010); its two thirds is taken as 0.66.
    """

    VERY_LIKELY = "very likely"
    LIKELY = "likely"
    ABOUT_AS_LIKELY_AS_NOT = "about as likely as not"
    UNLIKELY = "unlikely"
    VERY_UNLIKELY = "very unlikely"


LIKELY = 0.66


VERY_LIKELY = 0.90


def likelihood(probability: float) -> Likelihood:
    """The word for a probability.

    Args:
        probability: 0..1; an end belongs to the stronger word, 0.66 and 0.90 are named in full.

    Raises:
        ValueError: ``probability`` is not in 0..1 (NaN is not).
    """
    if not 0 <= probability <= 1:
        raise ValueError(f"probability is {probability}: it must lie between 0 and 1")
    if probability >= VERY_LIKELY:
        return Likelihood.VERY_LIKELY
    if probability >= LIKELY:
        return Likelihood.LIKELY
    if probability >= 0.33:
        return Likelihood.ABOUT_AS_LIKELY_AS_NOT
    return Likelihood.UNLIKELY if probability > 0.10 else Likelihood.VERY_UNLIKELY


def decimals_shown(half_width: float, *, most: int = 2) -> int:
    """How many decimals an estimate deserves: two significant digits of its half-width.

    Source: JCGM 100:2008 (GUM) 7.2.6, uncertainties to at most two significant digits, the
    estimate to the same place.

    Args:
        half_width: Half of the band, in the unit shown, above 0; 0 shows ``most``.
        most: Never more decimals than these; times end at the hundredth.

    Raises:
        ValueError: ``half_width`` is below 0 or not finite.
    """
    if not 0 <= half_width < float("inf"):
        raise ValueError(f"half_width is {half_width}: it must be a number of at least 0")
    if half_width == 0:
        return most
    return min(most, max(0, 1 - floor(log10(half_width))))
