"""The worked examples of the figures that teach: cases, homework, what comes next.

Their numbers are those of a made-up member, the same that the tests hold the methods to.
"""

from collections.abc import Mapping
from math import log
from typing import Any

import numpy as np
import pandas as pd

from logs.cases.figures import CarryOver, effort_h
from logs.homework.figures import solves_until_met, usual_week
from logs.how.log import Example
from logs.next_up.order import Candidate, next_up
from logs.progress.figures.cases import gaps_over_share
from logs.solves.figures.mistakes import cell_prior, mix_up_cost_ms, mix_up_rates
from logs.stats.curves import FITTED_FROM, curve_band, learning_curves
from logs.stats.distributions import shape
from logs.stats.effect import case_effect, sightings_for_power
from logs.stats.rates import (
    RUNS,
    AdoptionState,
    adoption,
    error_rates,
    fewest_more,
    probability_of_lean,
)
from logs.stats.two_way import CellSums, own_effects

_SLOWER_AND_FASTER = [
    float(ms)
    for ms in (
        5210, 4360, 4740, 3790, 3950, 3420, 3700, 3110, 3380, 2950, 3210, 2780,
        3050, 2620, 2960, 2710, 2550, 2830, 2600, 2740, 2480, 2690, 2570, 2630,
    )
]  # fmt: skip


_BEFORE = pd.Series([4310.0, 3880.0, 4750.0, 4020.0, 5100.0, 4460.0])


_SINCE = pd.Series([3050.0, 3620.0, 2910.0, 3970.0, 3200.0])


_SEEN_MS = pd.Series(
    [
        512, 548, 561, 574, 590, 603, 611, 624, 633, 648, 655, 667,
        682, 694, 713, 731, 758, 792, 845, 902, 988, 1104, 1297, 1610,
    ],
    dtype="float64",
)  # fmt: skip


def curve_example() -> Example:
    """24 times that fall, and how little they tell of the shape of the curve."""
    curves = learning_curves(_SLOWER_AND_FASTER)
    band = curve_band(curves, sightings=[1.0, 24.0])
    return {
        "n": len(_SLOWER_AND_FASTER),
        "from": FITTED_FROM,
        "first_ms": float(band["centre_ms"].iloc[0]),
        "last_ms": float(band["centre_ms"].iloc[1]),
        "low_ms": float(band["low_ms"].iloc[1]),
        "high_ms": float(band["high_ms"].iloc[1]),
        "best_share": curves[0].weight,
        "second_share": curves[1].weight,
    }


def spread_example() -> Example:
    """Half and nine in ten of 24 recognition times."""
    spread = shape(_SEEN_MS)
    assert spread is not None
    return {"n": spread.n, "median_ms": spread.median_ms, "slow_ms": spread.slow_ms}


def review_example() -> Example:
    """How long chance takes to bring a case of 4 in 216 at 60 solves a week."""
    gap = 7 / (60 * 4 / 216)
    return {"gap_days": gap, "late_share": gaps_over_share(14, mean_gap_days=gap)}


def homework_check_example() -> Example:
    """Three in a row, a miss among six, and what the whole check errs."""
    after_not_yet = adoption([False, False])
    return {
        "straight": fewest_more(adoption([])),
        "is_verified_with_miss": adoption([True, True, False, True, True, True]).state
        is AdoptionState.VERIFIED,
        "again": fewest_more(after_not_yet),
        "runs": len(RUNS),
        "false_share": error_rates(0.30).verified_in_all,
        "mean": error_rates(0.85).mean_length,
    }


def _looks(case: str, times_ms: pd.Series, *, is_one_look: bool) -> pd.DataFrame:
    return pd.DataFrame({"case": case, "is_one_look": is_one_look, "stage_ms": times_ms})


def _others(n: int) -> pd.DataFrame:
    """Five other cases of about 3.9 s in two looks, as far apart as a member's are."""
    spread = [0.22 * (2 * k / (n - 1) - 1) * 1.5 for k in range(n)]
    return pd.concat(
        _looks(name, 3900 * level * pd.Series(np.exp(spread)), is_one_look=False)
        for name, level in zip("abcde", (0.85, 0.92, 1.0, 1.08, 1.17), strict=True)
    )


def before_after_example() -> Example:
    """Six times before and five since, with the other two-look cases at 3.90 s."""
    before = pd.concat([_looks("picked", _BEFORE, is_one_look=False), _others(8)])
    since = pd.concat([_looks("picked", _SINCE, is_one_look=True), _others(4)])
    effect = case_effect(before, since, case="picked")
    assert effect is not None
    raw_ratio = float(np.exp(np.log(_SINCE).mean() - np.log(_BEFORE).mean()))
    return {
        "n_before": effect.n_before,
        "n_since": effect.n_since,
        "raw_less_share": 1 - raw_ratio,
        "less_share": 1 - effect.ratio,
        "low_share": 1 - effect.range.high,
        "high_share": 1 - effect.range.low,
        "p_faster": effect.p_faster,
        "for_quarter": sightings_for_power(0.25, sigma=0.22),
        "for_tenth": sightings_for_power(0.10, sigma=0.22),
    }


def due_date_example() -> Example:
    """A case of 4 in 216, for a member of eight uneven weeks."""
    weeks = [60, 110, 85, 0, 140, 95, 70, 120]
    per_week, n_solves = usual_week(weeks), solves_until_met(4 / 216)
    return {
        "weeks": weeks,
        "per_week": per_week,
        "n_solves": n_solves,
        "n_surer": solves_until_met(4 / 216, share=0.9),
        "n_weeks": n_solves / per_week,
    }


def mistaken_example() -> Example:
    """3 of 18 one way, 0 of 20 the other; then as often in four times as many looks."""
    prior = cell_prior([3, 1], [18, 15], looks={18: 400, 15: 400})
    rates = mix_up_rates(pd.Series([3, 0]), pd.Series([18, 20]), prior=prior)
    few, many = (probability_of_lean((3 * n, 18 * n), (0, 20 * n), n_pairs=1) for n in (1, 4))
    there = rates.iloc[0]
    return {
        "rate_share": there["rate"],
        "low_share": there["low"],
        "high_share": there["high"],
        "p_of_few": few,
        "p_of_many": many,
        "cost_ms": mix_up_cost_ms(chance=4 / 216, n_events=3, n=18, lost_ms=4200),
    }


def next_up_example() -> Example:
    """Two cases that the figures cannot tell apart, and a third that they can."""
    cases = {
        "first": Candidate("first", 4 / 216, 0.5, 6.5, 4300, 200, 2303, 64),
        "second": Candidate("second", 4 / 216, 0.5, 4.5, 3600, 180, 2009, 60, effort_h=0.8),
        "third": Candidate("third", 2 / 216, 0.5, 3.5, 5100, 350, 3109, 107, effort_h=1.4),
    }
    table = next_up(list(cases.values()), rng=np.random.default_rng(1))
    rows: Mapping[Any, Mapping[Any, Any]] = table.to_dict("index")
    a, b, c = (rows[name] for name in cases)
    return {
        "first_s": a["value_ms"] / 10,
        "second_s": b["value_ms"] / 10,
        "third_s": c["value_ms"] / 10,
        "third_two_looks_ms": cases["third"].two_look_ms,
        "is_tie": a["tie_group"] == b["tie_group"],
    }


def effort_example() -> Example:
    """A nine-turn algorithm with nothing known, a known run of turns, and a known mirror."""
    return {
        name: effort_h(0.9, CarryOver(knows_trigger=trigger, knows_mirror=mirror))
        for name, trigger, mirror in (
            ("plain_h", False, False),
            ("trigger_h", True, False),
            ("mirror_h", False, True),
        )
    }


def shapes_example() -> Example:
    """Three members at four cases, ten times each: who is slow where, for their own speed."""
    times = {
        1: (1.80, 2.40, 2.10, 3.30),
        2: (3.10, 4.05, 3.70, 4.20),
        3: (2.45, 3.30, 2.80, 3.75),
    }
    sums = {
        (member, str(case)): CellSums(n=10, mean=log(seconds), square_sum=9 * 0.15**2)
        for member, row in times.items()
        for case, seconds in enumerate(row)
    }
    effects = own_effects(sums, shown=frozenset(times))
    assert effects is not None
    excess = dict(zip(effects.cells, np.expm1(effects.means()), strict=True))
    return {
        "ash_ms": 1000 * times[1][3],
        "ash_slow_share": float(excess[1, "3"]),
        "elm_ms": 1000 * times[2][3],
        "elm_quick_share": -float(excess[2, "3"]),
    }
