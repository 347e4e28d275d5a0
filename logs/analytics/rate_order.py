"""The chance that one rate is larger than another."""

import numpy as np
from scipy.integrate import quad
from scipy.stats import beta as beta_distribution


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
