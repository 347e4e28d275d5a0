"""Homework in worlds where nothing happens, and where one known thing does."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt
import pandas as pd

from logs.stats.effect import CaseEffect, case_effect

Floats = npt.NDArray[np.float64]

N_CASES: Final = 20
MU, TAU, SIGMA = 0.7, 0.20, 0.22
GAP, GAP_SD = 0.45, 0.10
"""Log of what two looks take over one, and how cases differ in it."""


@dataclass(frozen=True, slots=True)
class EffectWorld:
    """What is true of a member and of the case that homework picks.

    Attributes:
        name: Of the world.
        rate: One-look rate of the picked case before.
        rate_since: And since.
        change: Of its log time done either way.
        drift: Of all log times of the member meanwhile.
        others: One-look rates of the other cases; None for known and unknown ones mixed.
        is_slowest: The slowest case by its raw mean is picked, not the first.
    """

    name: str
    rate: float
    rate_since: float | None = None
    change: float = 0.0
    drift: float = 0.0
    others: float | None = None
    is_slowest: bool = False


FIFTH_LESS: Final = float(np.log(0.8))


NULL_WORLDS: Final = (
    EffectWorld("nothing, known", 0.95),
    EffectWorld("nothing, half known", 0.5),
    EffectWorld("nothing, not known", 0.05),
    EffectWorld("nothing, slowest of known cases", 0.95, others=0.95, is_slowest=True),
    EffectWorld("nothing, slowest of cases in two looks", 0.05, others=0.05, is_slowest=True),
    EffectWorld("nothing, slowest of half-known cases", 0.5, others=0.5, is_slowest=True),
    EffectWorld("all get a tenth faster, knows every case", 0.95, others=0.95, drift=-0.1),
)


EFFECT_WORLDS: Final = (
    EffectWorld("a fifth less, known", 0.95, change=FIFTH_LESS),
    EffectWorld("a fifth less, half known", 0.5, change=FIFTH_LESS),
    EffectWorld("a fifth less, in two looks", 0.05, change=FIFTH_LESS),
    EffectWorld("a fifth less and all a tenth faster", 0.95, change=FIFTH_LESS, drift=-0.1),
    EffectWorld("learnt", 0.05, rate_since=0.95),
)


@dataclass(frozen=True, slots=True)
class EffectOutcome:
    """What was said of one member's homework, and the ratio there really was."""

    effect: CaseEffect
    true_ratio: float


def _rates(world: EffectWorld, rng: np.random.Generator) -> Floats:
    if world.others is None:
        rates = rng.choice([0.05, 0.95], N_CASES)
    else:
        rates = np.full(N_CASES, world.others)
    rates[0] = world.rate
    return np.asarray(rates, dtype=float)


def _side(
    theta: Floats, gap: Floats, rates: Floats, n: npt.NDArray[np.int64], rng: np.random.Generator
) -> pd.DataFrame:
    index = np.repeat(np.arange(len(theta)), n)
    is_one_look = rng.random(len(index)) < rates[index]
    logs = rng.normal(theta[index] + np.where(is_one_look, 0.0, gap[index]), SIGMA)
    return pd.DataFrame(
        {
            "case": [f"{case:02}" for case in index],
            "is_one_look": is_one_look,
            "stage_ms": 1000 * np.exp(logs),
        }
    )


def sides(
    world: EffectWorld, rng: np.random.Generator, *, n_since: int = 8
) -> tuple[pd.DataFrame, pd.DataFrame, str, float]:
    """Sightings before and since, the picked case, and its true ratio net of the drift."""
    theta, gap = rng.normal(MU, TAU, N_CASES), rng.normal(GAP, GAP_SD, N_CASES)
    rates = _rates(world, rng)
    n = rng.integers(3, 12, N_CASES)
    before = _side(theta, gap, rates, n, rng)
    picked = 0
    if world.is_slowest:
        picked = int(np.log(before["stage_ms"]).groupby(before["case"]).mean().idxmax())
    rate, later = rates[picked], rates.copy()
    later[picked] = rate if world.rate_since is None else world.rate_since
    moved = theta + world.drift
    moved[picked] += world.change
    n_later = rng.integers(3, 12, N_CASES)
    n_later[picked] = n_since
    since = _side(moved, gap, later, n_later, rng)
    was, now = (share + (1 - share) * np.exp(gap[picked]) for share in (rate, later[picked]))
    return before, since, f"{picked:02}", float(np.exp(world.change) * now / was)


def outcomes(world: EffectWorld, n: int, seed: int) -> Iterator[EffectOutcome]:
    """What is said of ``n`` members' homework in a world."""
    rng = np.random.default_rng(seed)
    for _ in range(n):
        before, since, case, ratio = sides(world, rng)
        effect = case_effect(before, since, case=case)
        if effect is not None:
            yield EffectOutcome(effect, ratio)


def looks_in_a_row(world: EffectWorld, n: int, n_looks: int, seed: int) -> list[list[CaseEffect]]:
    """What is said after each of so many sightings since, of ``n`` members' homework."""
    rng = np.random.default_rng(seed)
    series = []
    for _ in range(n):
        before, since, case, _ = sides(replace(world), rng, n_since=n_looks)
        own = since.index[since["case"] == case]
        series.append(
            [
                effect
                for end in range(1, n_looks + 1)
                if (effect := case_effect(before, since.drop(own[end:]), case=case)) is not None
            ]
        )
    return series
