"""What learning a case would save, in time a solve, and how sure the order is.

``V = p (1 - r) (T2 - T1)``: chance of the case, share of its sightings that do not go in one look
yet, and what one look saves. A half-known case is worth half.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd

from logs.stats.distributions import Floats
from logs.stats.likelihood import LIKELY

N_DRAWS = 20_000


TOP = 3


VALUE_COLUMNS: Final = (
    "value_ms",
    "value_sd_ms",
    "gap_ms",
    "gap_sd_ms",
    "per_100_s",
    "p_gain",
    "p_top",
    "effort_h",
    "value_per_effort",
    "tie_group",
)


@dataclass(frozen=True, slots=True)
class Candidate:
    """A case that could be learnt.

    Attributes:
        case: Its name.
        chance: In one solve, 0..1.
        alpha: One-look rate, first parameter of its Beta distribution.
        beta: Second parameter.
        two_look_ms: Expected time now, when it goes in two looks.
        two_look_sd_ms: Doubt about it.
        one_look_ms: Expected time then: recognition and execution.
        one_look_sd_ms: Doubt about it.
        effort_h: Hours it takes to learn, above 0.
    """

    case: str
    chance: float
    alpha: float
    beta: float
    two_look_ms: float
    two_look_sd_ms: float
    one_look_ms: float
    one_look_sd_ms: float
    effort_h: float = 1.0

    def __post_init__(self) -> None:
        if self.effort_h <= 0:
            raise ValueError(f"effort_h of case {self.case!r} is {self.effort_h}: above 0 only")

    @property
    def gap_ms(self) -> float:
        """What one look saves in a sighting that would go in two."""
        return self.two_look_ms - self.one_look_ms

    @property
    def gap_sd_ms(self) -> float:
        """Doubt about the gap."""
        return float(np.hypot(self.two_look_sd_ms, self.one_look_sd_ms))

    @property
    def not_one_look(self) -> float:
        """Expected share of sightings that do not go in one look."""
        return self.beta / (self.alpha + self.beta)

    @property
    def value_ms(self) -> float:
        """Expected saving in an average solve; below 0 where no gain is expected."""
        return self.chance * self.not_one_look * self.gap_ms

    @property
    def value_sd_ms(self) -> float:
        """Doubt about the saving: that of a product of two independent factors."""
        size = self.alpha + self.beta
        share, variance = self.not_one_look, self.alpha * self.beta / (size**2 * (size + 1))
        gap, gap_variance = self.gap_ms, self.gap_sd_ms**2
        spread = variance * (gap**2 + gap_variance) + share**2 * gap_variance
        return self.chance * float(np.sqrt(spread))


def next_up(candidates: Sequence[Candidate], *, rng: np.random.Generator) -> pd.DataFrame:
    """The candidates, the most saved for an hour of learning first.

    Args:
        candidates: Each case once, in any order.
        rng: Seeded; the same seed and candidates give the same table.

    Returns:
        ``VALUE_COLUMNS`` indexed by case. ``p_gain`` is P(V > 0), ``p_top`` the chance to be
        among the three most valuable, ``per_100_s`` seconds in 100 solves. Cases of one
        ``tie_group`` (from 1) are in no order that is likely: the group ends where the next case
        falls short of its first with P at least 0.66.

    Raises:
        ValueError: A case is named twice.
    """
    ordered = sorted(candidates, key=lambda one: (-one.value_ms / one.effort_h, one.case))
    names = [one.case for one in ordered]
    if len(set(names)) < len(names):
        raise ValueError("candidates name a case twice: name each once")
    draws = _draws(sorted(candidates, key=lambda one: one.case), names, rng)
    efforts = np.array([one.effort_h for one in ordered])
    rows = [
        {
            "value_ms": one.value_ms,
            "value_sd_ms": one.value_sd_ms,
            "gap_ms": one.gap_ms,
            "gap_sd_ms": one.gap_sd_ms,
            "per_100_s": one.value_ms / 10,
            "effort_h": one.effort_h,
            "value_per_effort": one.value_ms / one.effort_h,
        }
        for one in ordered
    ]
    index = pd.Index(names, name="case", dtype="str")
    table = pd.DataFrame(rows, index=index, columns=list(VALUE_COLUMNS))
    table["p_gain"] = (draws > 0).mean(axis=1)
    table["p_top"] = _share_in_top(draws)
    table["tie_group"] = _tie_groups(draws / efforts[:, None])
    return table.astype(dict.fromkeys(VALUE_COLUMNS, "float64") | {"tie_group": "int64"})


def _draws(
    candidates: Sequence[Candidate], order: Sequence[str], rng: np.random.Generator
) -> Floats:
    """Values as they might be; shape (cases in ``order``, draws)."""
    drawn = {
        one.case: one.chance
        * rng.beta(one.beta, one.alpha, N_DRAWS)
        * (one.gap_ms + one.gap_sd_ms * rng.standard_normal(N_DRAWS))
        for one in candidates
    }
    return np.array([drawn[case] for case in order]).reshape(len(order), N_DRAWS)


def _share_in_top(draws: Floats) -> Floats:
    if len(draws) <= TOP:
        return np.ones(len(draws))
    limit = np.partition(draws, -TOP, axis=0)[-TOP]
    return np.asarray((draws >= limit).mean(axis=1), dtype=float)


def _tie_groups(draws: Floats) -> list[int]:
    groups: list[int] = []
    first = 0
    for place in range(len(draws)):
        if place == 0 or (draws[first] > draws[place]).mean() >= LIKELY:
            first = place
            groups.append(groups[-1] + 1 if groups else 1)
        else:
            groups.append(groups[-1])
    return groups
