"""Whether cases come up as the theory has it, and how long until all have."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final, NamedTuple

import numpy as np
from scipy.integrate import quad
from scipy.stats import chisquare

ALARM_BELOW = 0.001


EDGE_CLASSES: Final[Mapping[str, float]] = {
    "dot": 1 / 8,
    "bar": 2 / 8,
    "angle": 4 / 8,
    "oriented": 1 / 8,
}
"""Chances of the edges of the last layer when it is reached."""


@dataclass(frozen=True, slots=True)
class ChanceCheck:
    """Counts against chances.

    Attributes:
        n: Solves counted.
        statistic: Pearson's chi-square.
        degrees: Its degrees of freedom.
        p: The chance of so large a one by luck.
        is_alarm: ``p`` is below 0.001: weigh cases by `smoothed_chances`, and say so.
    """

    n: int
    statistic: float
    degrees: int
    p: float
    is_alarm: bool


def chance_check(
    counts: Mapping[str, int], *, chances: Mapping[str, float] = EDGE_CLASSES
) -> ChanceCheck | None:
    """The test of a member's counts, or None while a class is expected fewer than 5 times.

    An alarm means scrambles that are not random, or a last pair chosen to shape the top.
    Source: Pearson 1900; expected counts of at least 5 are the usual rule of the textbooks.

    Args:
        counts: How often each class came up; a class left out came up never.
        chances: Few classes that add up to 1; single cases would need hundreds of solves.

    Raises:
        ValueError: ``counts`` names a class that has no chance.
    """
    for name in counts:
        if name not in chances:
            raise ValueError(f"counts has {name!r}; the classes are {', '.join(chances)}")
    n = sum(counts.values())
    expected = np.array([n * chance for chance in chances.values()])
    if expected.min() < 5:
        return None
    statistic, p = chisquare([counts.get(name, 0) for name in chances], expected)
    return ChanceCheck(n, float(statistic), len(chances) - 1, float(p), bool(p < ALARM_BELOW))


def smoothed_chances(
    counts: Mapping[str, int], *, chances: Mapping[str, float], weight: float = 216.0
) -> dict[str, float]:
    """The member's own shares, pulled towards the theory: ``(count + weight p) / (n + weight)``.

    Args:
        counts: How often each case came up, the skip left out or in as ``chances`` has it.
        chances: The theory's chance of each.
        weight: Solves that the theory is worth.
    """
    n = sum(counts.values())
    return {
        case: (counts.get(case, 0) + weight * chance) / (n + weight)
        for case, chance in chances.items()
    }


def mean_solves_until_all(chances: Sequence[float]) -> float:
    """How many solves it takes on average until every case has come up.

    ``integral of 1 - prod(1 - exp(-p t))`` over t from 0: Flajolet, Gardy and Thimonier 1992.

    Args:
        chances: Each above 0, together at most 1.

    Raises:
        ValueError: A chance is not above 0.
    """
    rates = np.asarray(chances, dtype=float)
    if rates.size == 0:
        return 0.0
    if rates.min() <= 0:
        raise ValueError(f"chances has {rates.min()}: every case must be able to come up")

    def missing(time: float) -> float:
        return 1.0 - float(np.prod(-np.expm1(-rates * time)))

    scale = 1 / float(rates.min())
    head, _ = quad(missing, 0, 5 * scale, limit=500, epsabs=1e-9, epsrel=1e-10)
    tail, _ = quad(missing, 5 * scale, 60 * scale, limit=500, epsabs=1e-9, epsrel=1e-10)
    return float(head + tail)


class ExpectedUnmet(NamedTuple):
    """Cases that have not come up yet, as chance has it.

    Attributes:
        mean: Their expected number.
        sd: Its standard deviation.
        share: The share of the next solves that they hold, 0..1.
    """

    mean: float
    sd: float
    share: float


def expected_unmet(chances: Sequence[float], *, n_solves: int) -> ExpectedUnmet:
    """The cases unmet after ``n_solves`` independent solves.

    ``E = sum (1 - p)^n``; the variance adds the covariance of each two cases, whose joint chance
    of staying out is ``(1 - p - q)^n`` (multinomial occupancy, textbook). Equal chances are
    counted together.

    Args:
        chances: The chance of each case in one solve, 0..1, at most 1 together.
        n_solves: At least 0.
    """
    still_out = [(1 - p) ** n_solves for p in chances]
    mean = sum(still_out)
    variance = sum(out * (1 - out) for out in still_out)
    for (p, out_p), (q, out_q) in combinations(zip(chances, still_out, strict=True), 2):
        variance += 2 * ((1 - p - q) ** n_solves - out_p * out_q)
    share = sum(p * out for p, out in zip(chances, still_out, strict=True))
    return ExpectedUnmet(mean, max(variance, 0.0) ** 0.5, share)
