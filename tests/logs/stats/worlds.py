"""Invented members whose truth is known, to hold the statistics against."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from tests.logs.stats.worked import OLL_CHANCES

Floats = npt.NDArray[np.float64]
TAU, SIGMA, MU = 0.20, 0.18, 0.7


@dataclass(frozen=True, slots=True, eq=False)
class MetMember:
    """A member after 200 solves.

    Attributes:
        cases: Cases met, sorted.
        truth: Log seconds of each.
        times_ms: Their sightings, indexed by case.
    """

    cases: list[str]
    truth: Floats
    times_ms: pd.Series


def member_of_200_solves(rng: np.random.Generator, *, tau: float = TAU) -> MetMember:
    """57 OLL cases at their chances, 200 solves, tau 0.20, sigma 0.18: the setting of W1c."""
    chances = np.array([*OLL_CHANCES.values(), 1 / 216])
    n = rng.multinomial(200, chances)[:-1]
    truth = rng.normal(MU, tau, len(n))
    met = sorted(
        (case, count, theta)
        for case, count, theta in zip(OLL_CHANCES, n, truth, strict=True)
        if count
    )
    cases = [case for case, _, _ in met]
    index = np.repeat(cases, [count for _, count, _ in met])
    centres = np.repeat([theta for _, _, theta in met], [count for _, count, _ in met])
    times = pd.Series(1000 * np.exp(rng.normal(centres, SIGMA)), index=index)
    return MetMember(cases, np.array([theta for _, _, theta in met]), times)
