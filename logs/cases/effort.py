"""How long a case takes to learn, less what carries over from what is known."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd

from logs.stats.grid import PooledTimes, pooled_times
from logs.stats.pooling import Spread, case_sums

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
    club: Spread | None = None,
) -> pd.DataFrame:
    """The expected two-look time of every case whose steps have been timed.

    Args:
        looks: One row a two-look sighting: ``case`` str; ``edge_step`` and ``corner_step`` str;
            ``edge_ms`` and ``corner_ms`` float64 ms above 0, 0 for a step that was not needed,
            NaN where not timed.
        steps: The steps of each case in the club's book. ``oriented`` takes no time.
        club: The club's spread, for few kinds of step.

    Returns:
        ``TWO_LOOK_COLUMNS`` indexed by case: the case's own two-look sightings, expected time and
        the sd of that expectation, ms. A case whose steps were never timed has no row.
    """
    edges = _step_times(looks, "edge", club)
    corners = _step_times(looks, "corner", club)
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
    sums = case_sums(own, cases=list(expected), expected_ms=expected)
    pooled = pooled_times(sums, club=club)
    table = _blended(expected, pooled)
    # What is not known of the steps stays unknown for the part that the case does not tell.
    weight = dict(zip(pooled.cases, pooled.weights, strict=True)) if pooled else {}
    table["sd_ms"] = [
        float(np.hypot(sd, (1 - weight.get(str(case), 0.0)) * variance[str(case)] ** 0.5))
        for case, sd in table["sd_ms"].items()
    ]
    return table


def _step_times(
    looks: pd.DataFrame, step: str, club: Spread | None
) -> dict[str, tuple[float, float]]:
    """Expected time and its sd of each step of one kind, ms."""
    times = looks[looks[f"{step}_ms"] > 0].set_index(f"{step}_step")[f"{step}_ms"]
    pooled = pooled_times(case_sums(times), club=club)
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
