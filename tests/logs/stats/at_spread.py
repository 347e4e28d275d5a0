"""The pooling model with its spreads held, so that its centres can be compared with a brute force."""

from dataclasses import dataclass

import numpy as np

from logs.stats.distributions import NormalMixture
from logs.stats.pooling import CaseSums, Ratios, conditional


@dataclass(frozen=True)
class Spread:
    tau: float
    sigma: float
    drift: float = 0.0
    block: float = 0.0


@dataclass(frozen=True)
class CentresAtSpread:
    cases: tuple[str, ...]
    weights: tuple[float, ...]
    centres: NormalMixture
    log_likelihood: float


def held_fit(sums: CaseSums, spread: Spread) -> CentresAtSpread:
    sigma = spread.sigma
    ratios = [np.array([one / sigma]) for one in (spread.tau, spread.drift, spread.block)]
    at = conditional(sums, Ratios(*ratios))
    log_likelihood = at.log_likelihood - at.degrees * np.log(sigma) - at.square_sum / 2 / sigma**2
    return CentresAtSpread(
        sums.cases,
        tuple(map(float, at.weights[0])),
        NormalMixture(np.ones(1), at.means, at.unit_sds * sigma),
        float(log_likelihood[0]),
    )
