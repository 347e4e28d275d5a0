"""The pooling model with its doubt about every spread kept: the times and bands that are shown.

Flat on tau^2 (Gelman 2006: few cases are then drawn together too little rather than too much) but for
a half-normal far out, which matters to a handful of cases alone; flat on the centre and on the drift
over sigma; half-normal on sigma. Averaged over a grid. No sampler: the same
times give the same figure, to the bit.

The one scale of words for chances, and how many digits an estimate may show.
"""

from dataclasses import dataclass
from enum import StrEnum
from itertools import product
from math import floor, log10
from typing import Final

import numpy as np
import pandas as pd

from logs.stats.distributions import Floats, NormalMixture
from logs.stats.pooling import CaseSums, Conditional, Ratios, conditional

BAND = 0.80


KNOWN_RATIO = 1.5
"""A band whose ends lie further apart than this factor says "not known yet"."""


HOLLOW_BELOW = 3


TIME_COLUMNS: Final = ("n", "centre_ms", "low_ms", "high_ms", "weight", "is_known", "is_hollow")


_CASES: Final = np.geomspace(0.06, 20.0, 8)


_FINE = 8


_DRIFTS: Final = (0.0, 0.3, 0.7, 1.5, 3.0)


_BLOCKS: Final = (0.0, 0.25, 0.6)


_SIGMA_SD = 0.5


_LEAST_SD = 0.02
"""No hand is surer: equal times are few, not exact."""


_TAU_SD = 0.5


_MOST_SD = 1.5
"""Neither sigma nor tau is larger: a handful of times that tell of neither is told within bounds."""


_KEPT = 0.995
"""The heaviest nodes that carry so much of the weight stand for all."""


_STEPS: Final = np.sqrt(3.0) * np.array([-1.0, 0.0, 1.0])


_STEP_WEIGHTS: Final = np.array([1.0, 4.0, 1.0]) / 6
"""Gauss and Hermite's three points for a normal."""


@dataclass(frozen=True, slots=True, eq=False)
class PooledTimes:
    """What is known of a member's typical time of each case.

    Attributes:
        cases: Names, in the order of ``log_times``.
        n: Sightings behind each.
        log_times: ln seconds of each case's typical (geometric mean) time now.
        weights: How far each case stands on its own feet, 0..1.
        sigma: sigma at each node of the mixture.
    """

    cases: tuple[str, ...]
    n: tuple[int, ...]
    log_times: NormalMixture
    weights: tuple[float, ...]
    sigma: Floats

    def table(self, *, band: float = BAND) -> pd.DataFrame:
        """``TIME_COLUMNS`` indexed by case: median and band of each typical time, ms.

        ``is_known`` is False when the band is too wide to name a time,
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


def pooled_times(sums: CaseSums) -> PooledTimes | None:
    """The times of a member's cases now, or None without a single time.

    Args:
        sums: As from `case_sums`.
    """
    if not sums.counts.any():
        return None
    _, nodes, weights = _weighed(sums, _CASES)
    # A second grid over the part that matters: many sightings make it small.
    kept = nodes.cases[weights > weights.max() * 1e-4]
    fine = np.geomspace(kept.min() / 1.3, kept.max() * 1.3, _FINE)
    at, nodes, weights = _weighed(sums, fine)
    heavy = np.argsort(-weights, kind="stable")
    heavy = heavy[: 1 + np.searchsorted(np.cumsum(weights[heavy]), _KEPT)]
    mode, sd = _log_sigma(at)
    each = np.repeat(heavy, _STEPS.size)
    sigma = np.exp(mode[heavy, None] + sd[heavy, None] * _STEPS).ravel()
    sigma = np.minimum(sigma, _MOST_SD / np.maximum(nodes.cases[each], 1.0))
    spread = (weights[heavy, None] * _STEP_WEIGHTS).ravel()
    mixture = NormalMixture(
        spread / spread.sum(), at.means[each], at.unit_sds[each] * sigma[:, None]
    )
    return PooledTimes(
        cases=sums.cases,
        n=tuple(map(int, sums.n)),
        log_times=mixture,
        weights=tuple(map(float, weights @ at.weights)),
        sigma=sigma,
    )


def _weighed(sums: CaseSums, taus: Floats) -> tuple[Conditional, Ratios, Floats]:
    """The model on the grid of these tau over sigma, with the weight of each node."""
    is_one_block = sums.counts.shape[1] == 1
    drifts, blocks = ((0.0,), (0.0,)) if is_one_block else (_DRIFTS, _BLOCKS)
    grid = np.array(list(product(taus, drifts, blocks)))
    nodes = Ratios(*grid.T)
    at = conditional(sums, nodes)
    mode, sd = _log_sigma(at)
    # Flat on tau^2 at each sigma, on a grid of even steps of ln(tau / sigma).
    variance = np.exp(2 * mode)
    log_prior = 2 * np.log(nodes.cases) + 3 * mode - variance / (2 * _SIGMA_SD**2)
    log_prior -= nodes.cases**2 * variance / (2 * _TAU_SD**2)
    log_weights = (
        at.log_likelihood
        + log_prior
        - at.degrees * mode
        - (at.square_sum + _LEAST_SD**2) / (2 * variance)
        + np.log(sd)
    )
    weights = np.exp(log_weights - log_weights.max())
    return at, nodes, np.asarray(weights / weights.sum(), dtype=float)


def _log_sigma(at: Conditional) -> tuple[Floats, Floats]:
    """Mode and sd of ln sigma at each node, by Laplace's method: in ln sigma it is all but normal."""
    degrees, squares, prior = at.degrees - 3, at.square_sum + _LEAST_SD**2, _SIGMA_SD**2
    root = np.sqrt(degrees**2 + 4 * squares / prior)
    # Of two forms of the quadratic's root the one that loses no digits.
    variance = 2 * squares / (degrees + root) if degrees > 0 else prior * (root - degrees) / 2
    curvature = 2 * squares / variance + 2 * variance / prior
    return 0.5 * np.log(variance), 1 / np.sqrt(curvature)


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
