"""The pooling model with tau and sigma held, so that its centres can be compared with a brute force."""

from dataclasses import dataclass

import numpy as np

from logs.stats.distributions import NormalMixture
from logs.stats.pooling import CaseSums, Spread, conditional


@dataclass(frozen=True)
class CentresAtSpread:
    cases: tuple[str, ...]
    mu: float
    weights: tuple[float, ...]
    centres: NormalMixture


def held_fit(sums: CaseSums, spread: Spread) -> CentresAtSpread:
    at = conditional(sums, np.array([spread.tau]), np.array([spread.sigma]))
    return CentresAtSpread(
        sums.cases,
        float(at.centre[0]),
        tuple(map(float, at.weights[0])),
        NormalMixture(np.ones(1), at.means, at.sds),
    )
