"""Whether cases come up as the theory has it, how long until all have, what learning one takes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final, NamedTuple

import numpy as np
import pandas as pd
from scipy.stats import chisquare

from logs.stats.grid import PooledTimes, pooled_times
from logs.stats.pooling import blocks_ago, case_sums

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


TRIGGER_FACTOR = 0.8


MIRROR_FACTOR = 0.6


@dataclass(frozen=True, slots=True)
class CarryOver:
    """What of an algorithm is known already.

    Attributes:
        knows_trigger: One of its named runs of turns is in an algorithm that goes in one look.
        knows_mirror: Its mirror or its inverse goes in one look.
    """

    knows_trigger: bool = False
    knows_mirror: bool = False


def effort_h(
    base_h: float,
    carry_over: CarryOver,
    *,
    trigger_factor: float = TRIGGER_FACTOR,
    mirror_factor: float = MIRROR_FACTOR,
) -> float:
    """Hours to learn a case.

    The factors are start values that a club may tune, multiplied where both hold. That chunks
    transfer: Chase and Simon 1973; Sakai, Kitaguchi and Hikosaka 2003.

    Args:
        base_h: Hours with nothing to build on, above 0.
        carry_over: What is known already.
        trigger_factor: What a known trigger leaves of the effort, above 0.
        mirror_factor: What a known mirror or inverse leaves of it, above 0.

    Raises:
        ValueError: ``base_h`` or a factor is not above 0.
    """
    for name, value in {
        "base_h": base_h,
        "trigger_factor": trigger_factor,
        "mirror_factor": mirror_factor,
    }.items():
        if value <= 0:
            raise ValueError(f"{name} is {value}: it must be above 0")
    hours = base_h * (trigger_factor if carry_over.knows_trigger else 1.0)
    return hours * (mirror_factor if carry_over.knows_mirror else 1.0)


TWO_LOOK_COLUMNS: Final = ("n", "mean_ms", "sd_ms")


@dataclass(frozen=True, slots=True)
class Steps:
    """The two steps of a case: names of the edge step and of the corner step it then leaves."""

    edge: str
    corner: str


def two_look_times(
    looks: pd.DataFrame,
    *,
    steps: Mapping[str, Steps],
) -> pd.DataFrame:
    """The expected two-look time now of every case whose steps have been timed.

    Args:
        looks: One row a two-look sighting, oldest first: ``case`` str; ``edge_step`` and ``corner_step`` str;
            ``edge_ms`` and ``corner_ms`` float64 ms above 0, 0 for a step that was not needed,
            NaN where not timed.
        steps: The steps of each case in the club's book. ``oriented`` takes no time.

    Returns:
        ``TWO_LOOK_COLUMNS`` indexed by case: the case's own two-look sightings, expected time and
        the sd of that expectation, ms. A case whose steps were never timed has no row.
    """
    looks = looks.assign(block=blocks_ago(len(looks)))
    edges = _step_times(looks, "edge")
    corners = _step_times(looks, "corner")
    expected = {
        case: edges[two.edge][0] + corners[two.corner][0]
        for case, two in sorted(steps.items())
        if two.edge in edges and two.corner in corners
    }
    variance = {case: _variance(edges, corners, steps[case]) for case in expected}
    whole = looks.assign(time_ms=looks["edge_ms"] + looks["corner_ms"])
    whole = whole[whole["case"].isin(list(expected)) & (whole["time_ms"] > 0)]
    own = whole.set_index("case")["time_ms"]
    expected = {case: time for case, time in expected.items() if time > 0}
    blocks = whole["block"].to_numpy()
    sums = case_sums(own, cases=list(expected), expected_ms=expected, blocks=blocks)
    pooled = pooled_times(sums)
    table = _blended(expected, pooled)
    # What is not known of the steps stays unknown for the part that the case does not tell.
    weight = dict(zip(pooled.cases, pooled.weights, strict=True)) if pooled else {}
    table["sd_ms"] = [
        float(np.hypot(sd, (1 - weight.get(str(case), 0.0)) * variance[str(case)] ** 0.5))
        for case, sd in table["sd_ms"].items()
    ]
    return table


def _step_times(looks: pd.DataFrame, step: str) -> dict[str, tuple[float, float]]:
    """Expected time and its sd of each step of one kind, ms."""
    timed = looks[looks[f"{step}_ms"] > 0].set_index(f"{step}_step")
    pooled = pooled_times(case_sums(timed[f"{step}_ms"], blocks=timed["block"].to_numpy()))
    known = {"oriented": (0.0, 0.0)}
    if pooled is not None:
        means = pooled.mean_times()
        known |= {
            str(name): (float(mean), float(sd))
            for name, mean, sd in zip(means.index, means["mean_ms"], means["sd_ms"], strict=True)
        }
    return known


def _variance(
    edges: Mapping[str, tuple[float, float]],
    corners: Mapping[str, tuple[float, float]],
    steps: Steps,
) -> float:
    return edges[steps.edge][1] ** 2 + corners[steps.corner][1] ** 2


def _blended(expected: Mapping[str, float], pooled: PooledTimes | None) -> pd.DataFrame:
    if pooled is None:
        return pd.DataFrame(
            {"n": 0, "mean_ms": list(expected.values()), "sd_ms": 0.0},
            index=pd.Index(list(expected), name="case", dtype="str"),
            columns=list(TWO_LOOK_COLUMNS),
        )
    table = pooled.mean_times()
    table.insert(0, "n", pooled.n)
    return table
