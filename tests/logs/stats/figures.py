"""Every kind of figure of a fixed member, as one text: to be compared to the last bit."""

import hashlib

import numpy as np
import pandas as pd

from logs.cases.figures import chance_check
from logs.homework.figures import solves_until_met
from logs.next_up.order import Candidate, next_up
from logs.solves.figures.standing import coverage, one_look_rates, rate_prior
from logs.stats.curves import curve_band, learning_curves, trend
from logs.stats.distributions import ex_gaussian_fit
from logs.stats.effect import case_effect
from logs.stats.grid import pooled_times
from logs.stats.pooling import case_sums
from logs.stats.rates import adoption
from logs.stats.two_way import CellSums, own_effects
from tests.logs.stats.worked import PLL_CHANCES, W1_TIMES, W5A_TIMES_MS, case_times, counts


def figures(*, shuffled: int = 0) -> str:
    """All figures, spelt out exactly.

    Args:
        shuffled: Seed of another order for sightings and cases; 0 for theirs.
    """
    times = case_times(W1_TIMES)
    met = counts({case: (3 * i % 7, 7) for i, case in enumerate(PLL_CHANCES)})
    if shuffled:
        times = times.sample(frac=1, random_state=shuffled)
        met = met.sample(frac=1, random_state=shuffled)
    pooled = pooled_times(case_sums(times))
    assert pooled is not None
    prior = rate_prior(met)
    curves = learning_curves(W5A_TIMES_MS)
    looks = pd.DataFrame({"case": times.index, "is_one_look": True, "stage_ms": times.to_numpy()})
    candidates = [
        Candidate(case, 4 / 216, 1.0, 2.0 + i, 4000.0, 200.0, 2500.0, 100.0)
        for i, case in enumerate("ABCDEF")
    ]
    cells = [(i // 4, str(i % 4)) for i in range(12)]
    if shuffled:
        cells = cells[::-1]
    effects = own_effects(
        {(m, c): CellSums(4, (4 * m + int(c)) / 9, 0.1) for m, c in cells}, shown=frozenset({0, 2})
    )
    assert effects is not None
    return "\n".join(
        [
            pooled.table().map(repr).to_csv(),
            one_look_rates(met, prior=prior).sort_index().map(repr).to_csv(),
            repr((prior, coverage(met, chances=PLL_CHANCES, prior=prior))),
            repr(case_effect(looks, looks.assign(stage_ms=0.8 * looks["stage_ms"]), case="B")),
            repr([(one.form, one.parameters, one.aicc) for one in curves]),
            curve_band(curves, sightings=[1, 30]).map(repr).to_csv(),
            repr(trend(W5A_TIMES_MS)),
            repr(ex_gaussian_fit(times)),
            next_up(candidates, rng=np.random.default_rng(1)).map(repr).to_csv(),
            repr((solves_until_met(4 / 216), adoption([True, False, True]))),
            repr(chance_check({"dot": 36, "bar": 41, "angle": 98, "oriented": 25})),
            repr(effects.means().tolist()),
        ]
    )


def digest() -> str:
    """A short mark of `figures`."""
    return hashlib.sha256(figures().encode()).hexdigest()
