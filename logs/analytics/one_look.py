"""How often each case goes in one look, each case leaning on the member's others.

``x ~ Bin(n, r)``, ``r ~ Beta(alpha, beta)`` by maximum likelihood over the member's cases: the
beta-binomial of Gelman et al., Bayesian Data Analysis 3rd ed., 5.3.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd
from scipy.optimize import minimize
from scipy.special import betaln
from scipy.stats import beta as beta_distribution

BAND = 0.80
FITTED_FROM = 8
"""With fewer cases met the prior is Beta(1/2, 1/2)."""
RATE_COLUMNS: Final = ("n_hits", "n", "rate", "sd", "low", "high")
_LIMITS = (0.05, 50.0)


@dataclass(frozen=True, slots=True)
class RatePrior:
    """The Beta distribution of a member's rates over the cases; below 1 means known or not."""

    alpha: float
    beta: float


JEFFREYS: Final = RatePrior(0.5, 0.5)


def rate_prior(counts: pd.DataFrame) -> RatePrior:
    """The prior that makes the member's own counts most likely.

    Each parameter stays between 0.05 and 50: counts that are all alike would send it to 0 or to
    infinity, and no number of sightings could then move a rate.

    Args:
        counts: int64 ``n_hits`` and ``n``, one row a case, any order; rows with no sighting are
            left out.
    """
    met = counts[counts["n"] > 0]
    if len(met) < FITTED_FROM:
        return JEFFREYS
    met = met.sort_values(["n", "n_hits"])
    hits, n = met["n_hits"].to_numpy(), met["n"].to_numpy()

    def loss(logs: np.ndarray) -> float:
        alpha, beta = np.exp(logs)
        return -float((betaln(alpha + hits, beta + n - hits) - betaln(alpha, beta)).sum())

    bounds = [tuple(map(float, np.log(_LIMITS)))] * 2
    start = np.log([0.5, 0.5])
    found = minimize(loss, start, method="L-BFGS-B", bounds=bounds, options={"ftol": 1e-14})
    alpha, beta = np.exp(found.x)
    return RatePrior(float(alpha), float(beta))


def one_look_rates(counts: pd.DataFrame, *, prior: RatePrior, band: float = BAND) -> pd.DataFrame:
    """The rate of each case with its band.

    Args:
        counts: int64 ``n_hits`` (sightings that went in one look) and ``n`` (all sightings,
            misfires included), one row a case. With no sighting the rate is the prior's.
        prior: As from `rate_prior`.
        band: How often such a band holds the truth, between 0 and 1.

    Returns:
        ``RATE_COLUMNS`` on the index of ``counts``: posterior mean, sd and equal-tailed band, all
        0..1.

    Raises:
        ValueError: Hits and sightings do not fit together.
    """
    hits, n = counts["n_hits"].to_numpy(), counts["n"].to_numpy()
    if ((hits < 0) | (hits > n)).any():
        raise ValueError("n_hits must lie between 0 and n for every case")
    posterior = beta_distribution(prior.alpha + hits, prior.beta + n - hits)
    return pd.DataFrame(
        {
            "n_hits": hits,
            "n": n,
            "rate": posterior.mean(),
            "sd": posterior.std(),
            "low": posterior.ppf((1 - band) / 2),
            "high": posterior.ppf((1 + band) / 2),
        },
        index=counts.index,
        columns=list(RATE_COLUMNS),
    )
