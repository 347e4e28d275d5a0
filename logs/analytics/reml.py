"""Restricted maximum likelihood of the pooling model: one best pair of tau and sigma."""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize

from logs.analytics.mixtures import NormalMixture
from logs.analytics.pooling import CaseSums, Spread, conditional


@dataclass(frozen=True, slots=True, eq=False)
class Reml:
    """The fitted model.

    Its bands take tau as known, so they are a little too narrow (Morris 1983; Kackar and Harville
    1984): show the band of `logs.analytics.grid` instead.

    Attributes:
        cases: Names, in the order of ``centres``.
        spread: tau and sigma.
        mu: Mean of the cases' centres, ln seconds (at the mean ln turns, if it follows them).
        weights: B of each case.
        centres: Centre of each case, ln seconds, as a mixture of one node.
    """

    cases: tuple[str, ...]
    spread: Spread
    mu: float
    weights: tuple[float, ...]
    centres: NormalMixture


def reml_fit(sums: CaseSums) -> Reml | None:
    """The fit, or None where tau and sigma can't be told apart.

    Written here because the mixed models of general libraries need every sighting again, and
    warn or fail at tau = 0, which is an honest answer for a handful of cases.

    Args:
        sums: As from `case_sums`.
    """
    timed = sums.n > 0
    n_cases = np.count_nonzero(timed)
    degrees = sums.n.sum() - n_cases
    if n_cases <= sums.design.shape[1] or degrees == 0 or sums.square_sum == 0:
        return None
    sigma = float(np.sqrt(sums.square_sum / degrees))
    tau = float(np.std((sums.mean - sums.offset)[timed]))
    scale = max(sigma, tau)

    def loss(pair: np.ndarray) -> float:
        at = conditional(sums, pair[:1] * scale, pair[1:] * scale)
        return -float(at.log_likelihood[0])

    found = minimize(
        loss,
        np.array([tau, sigma]) / scale,
        method="L-BFGS-B",
        bounds=[(0.0, None), (1e-3 * sigma / scale, None)],
        options={"ftol": 1e-15, "gtol": 1e-9},
    )
    return held_fit(sums, Spread(float(found.x[0] * scale), float(found.x[1] * scale)))


def held_fit(sums: CaseSums, spread: Spread) -> Reml:
    """The centres with tau and sigma held, such as the club's for a member of few cases.

    Args:
        sums: At least one timed case.
        spread: tau at least 0, sigma above 0.
    """
    at = conditional(sums, np.array([spread.tau]), np.array([spread.sigma]))
    return Reml(
        sums.cases,
        spread,
        float(at.centre[0]),
        tuple(map(float, at.weights[0])),
        NormalMixture(np.ones(1), at.means, at.sds),
    )
