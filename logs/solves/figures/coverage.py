"""The share of solves whose last layer goes in one look, weighted by how often cases come up."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.stats import beta as beta_distribution

from logs.solves.figures.standing import RatePrior

BAND = 0.80


@dataclass(frozen=True, slots=True)
class Coverage:
    """Three parts of all solves that add up to 1, never to be shown apart.

    Attributes:
        covered: Share that goes in one look, the skip included, 0..1.
        low: Lower end of its band.
        high: Upper end.
        not_covered: Share held by met cases that does not go in one look.
        never_met: Share held by cases never met: no guess is made about them.
        sd: Standard deviation of ``covered``.
        n_cases_met: Cases met at least once.
        n: Sightings behind the figure.
    """

    covered: float
    low: float
    high: float
    not_covered: float
    never_met: float
    sd: float
    n_cases_met: int
    n: int


def coverage(
    counts: pd.DataFrame,
    *,
    chances: Mapping[str, float],
    prior: RatePrior,
    band: float = BAND,
) -> Coverage:
    """The coverage of one stage.

    Weights are the theory's chances, not the member's counts: less noise, and members compare.
    The band is that of a Beta distribution with the same mean and variance between "skips alone"
    and "all of the met cases".

    Args:
        counts: int64 ``n_hits`` and ``n`` indexed by case; cases without a row were never met.
        chances: Chance of each case in one solve; what they leave of 1 is the skip.
        prior: As from `rate_prior`.
        band: How often such a band holds the truth, between 0 and 1.

    Raises:
        ValueError: The chances add up to more than 1, or ``counts`` has a case without one.
    """
    skip = 1 - sum(chances.values())
    if skip < -1e-9:
        raise ValueError(f"chances add up to {1 - skip}: together they must be at most 1")
    met = counts[counts["n"] > 0].sort_index()
    unknown = [case for case in met.index if case not in chances]
    if unknown:
        raise ValueError(f"counts has case {unknown[0]!r}, which has no chance")
    weights = np.array([chances[case] for case in met.index], dtype=float)
    hits, n = met["n_hits"].to_numpy(), met["n"].to_numpy()
    posterior = beta_distribution(prior.alpha + hits, prior.beta + n - hits)
    covered = float(weights @ posterior.mean()) if len(met) else 0.0
    not_covered = float(weights @ (1 - posterior.mean())) if len(met) else 0.0
    sd = float(np.sqrt(weights**2 @ posterior.var())) if len(met) else 0.0
    low, high = _band(covered, sd, float(weights.sum()), band)
    return Coverage(
        covered=skip + covered,
        low=skip + low,
        high=skip + high,
        not_covered=not_covered,
        never_met=float(sum(chance for case, chance in chances.items() if case not in met.index)),
        sd=sd,
        n_cases_met=len(met),
        n=int(n.sum()),
    )


def _band(covered: float, sd: float, whole: float, band: float) -> tuple[float, float]:
    if sd == 0 or whole == 0:
        return covered, covered
    mean = covered / whole
    size = mean * (1 - mean) / (sd / whole) ** 2 - 1
    ends = beta_distribution.ppf([(1 - band) / 2, (1 + band) / 2], mean * size, (1 - mean) * size)
    return whole * float(ends[0]), whole * float(ends[1])


def both_in_one_look(oll: Coverage, pll: Coverage) -> float:
    """The share of solves whose OLL and PLL both go in one look.

    Right if the two hang on nothing else together: after any OLL algorithm the permutation is
    uniform over its 72 states. Worth checking against the member's own count of both.
    """
    return oll.covered * pll.covered
