"""Whether a case got faster since homework was set: net of chance and of what else changed."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from math import ceil, exp
from zoneinfo import ZoneInfo

import pandas as pd

from cubecore.cases import SKIP, Case
from logs.cases.facts import chance_of
from logs.stats.effect import (
    Change,
    Effect,
    RateChange,
    control_change,
    effect,
    pooled_before,
    rate_change,
    sightings_for_power,
)
from logs.stats.grid import pooled_times
from logs.stats.likelihood import LIKELY, likelihood
from logs.stats.pooling import case_sums
from logs.words import average, moment, solves, times

LOOKED_FOR = 0.25
"""The gain that "about n more solves" is reckoned for: what learning a case saves at the least."""


@dataclass(frozen=True, slots=True)
class TimedSolve:
    """A solve behind a figure, and the time of the case in it."""

    solve_id: int
    done: str
    time: str


@dataclass(frozen=True, slots=True)
class EffectLine:
    """What the times and the looks of a case say, before and since.

    Attributes:
        time: The change of time, in words.
        rate: The change of the one-look rate, in words; empty without looks on both sides.
        control: What the change is net of, in words.
        before: The timed solves before it was set, newest first.
        since: Those since.
    """

    time: str
    rate: str
    control: str
    before: tuple[TimedSolve, ...]
    since: tuple[TimedSolve, ...]


def effect_line(
    sightings: pd.DataFrame,
    case: Case,
    *,
    set_at: datetime,
    until: datetime | None,
    asked: Collection[str],
    zone: ZoneInfo,
) -> EffectLine:
    """The line of one case of a homework.

    Before is told from the member's two-look times, each case leaning on the others, so that a case
    chosen for being slow is not credited with getting back to its own usual. What their untouched
    two-look cases did over the same time is taken off. Misfires count on both sides.

    Args:
        sightings: All ``SIGHTING_COLUMNS`` of the member's solves.
        case: The case.
        set_at: When homework was set; undated solves are on neither side.
        until: When it was closed; None while it is open.
        asked: Names of all cases of that stage that homework ever asked of the member: these
            control nothing.
        zone: For dates.
    """
    name = str(case.id.number)
    of_stage = sightings[
        (sightings["stage"] == case.id.stage.value)
        & (sightings["case"] != SKIP)
        & (sightings["n_looks"] > 0)
        & sightings["done_at"].notna()
    ].assign(stage_ms=lambda f: (f["recognition_ms"] + f["execution_ms"]).where(lambda ms: ms > 0))
    before = of_stage[of_stage["done_at"] <= set_at]
    since = of_stage[of_stage["done_at"] > set_at]
    if until is not None:
        since = since[since["done_at"] <= until]
    own_before, own_since = before[before["case"] == name], since[since["case"] == name]
    # What is kept out of the pool has another method than the case had: one look.
    pool = before[(before["case"] == name) | ~before["is_one_look"]]
    pooled = pooled_times(case_sums(pool.set_index("case")["stage_ms"]))
    control, n_control = Change(0.0, 0.0), 0
    found = None
    if pooled is not None:
        one_look = set(of_stage.loc[of_stage["is_one_look"], "case"])
        kept = set(before["case"]) & set(since["case"]) - one_look - {name, *asked}
        was, now = (_by_case(side, kept) for side in (before, since))
        n_control = sum(bool(was[key].notna().any() and now[key].notna().any()) for key in kept)
        control = control_change(was, now, sigma=pooled.spread.sigma)
        found = effect(
            pooled_before(own_before["stage_ms"], pooled=pooled, case=name),
            own_since["stage_ms"],
            control=control,
        )
    return EffectLine(
        time=time_words(
            found,
            n_before=_n_timed(own_before),
            chance=chance_of(case),
            sigma=pooled.spread.sigma if pooled else None,
        ),
        rate=_rate_words(own_before, own_since),
        control=_control_words(control, n_control) if found else "",
        before=_solves(own_before, zone),
        since=_solves(own_since, zone),
    )


def _by_case(side: pd.DataFrame, cases: Collection[str]) -> Mapping[str, pd.Series]:
    return {case: side.loc[side["case"] == case, "stage_ms"] for case in sorted(cases)}


def _n_timed(side: pd.DataFrame) -> int:
    return int(side["stage_ms"].notna().sum())


def time_words(found: Effect | None, *, n_before: int, chance: float, sigma: float | None) -> str:
    """The change of time in words of the one scale, with its range and counts.

    Args:
        found: The effect; None without times on both sides.
        n_before: Timed sightings before.
        chance: Of the case in one solve.
        sigma: sd of log times within a case; None while no time tells it.
    """
    if found is None or sigma is None:
        if not n_before:
            return "No timed solve before it was set: there is nothing to compare with."
        return f"No timed solve since: cannot tell yet, about {solves(ceil(1 / chance))} bring one."
    counts = f"{times(found.n_before)} before, {times(found.n_after)} since"
    span = _span(found.high, found.low)
    if max(found.p_faster, 1 - found.p_faster) < LIKELY:
        wanted = sightings_for_power(LOOKED_FOR, sigma=sigma)
        more = ceil(max(1, wanted - found.n_after) / chance)
        return f"Cannot tell yet, about {more:,} more solves: so far {span} time ({counts})."
    word = likelihood(max(found.p_faster, 1 - found.p_faster)).value.capitalize()
    if found.p_faster >= LIKELY:
        return f"{word} faster: {_less(found.ratio)} (likely {span}; {counts})."
    return (
        f"{word} slower so far: {_less(found.ratio)} (likely {span}; {counts})."
        " A new algorithm can be slower at first."
    )


def _less(ratio: float) -> str:
    """``0.81`` as 19% less time."""
    percent = round(100 * (1 - ratio))
    if percent == 0:
        return "as much time"
    return f"{abs(percent)}% {'less' if percent > 0 else 'more'} time"


def _span(worst: float, best: float) -> str:
    """Two ratios as a range, what they share said once: ``18 to 33% less``."""
    ends = [round(100 * (1 - ratio)) for ratio in (worst, best)]
    if min(ends) >= 0:
        return f"{ends[0]} to {ends[1]}% less"
    if max(ends) <= 0:
        return f"{-ends[1]} to {-ends[0]}% more"
    return f"from {-ends[0]}% more to {ends[1]}% less"


def _rate_words(before: pd.DataFrame, since: pd.DataFrame) -> str:
    if before.empty or since.empty:
        return ""
    was, now = ((int(side["is_one_look"].sum()), len(side)) for side in (before, since))
    found: RateChange = rate_change(was, now)
    counts = f"{was[0]} of {times(was[1])} before, {now[0]} of {times(now[1])} since"
    if found.p_larger < LIKELY:
        return f"In one look {counts}."
    return f"In one look {counts}: {likelihood(found.p_larger).value} more often now."


def _control_words(control: Change, n: int) -> str:
    if not n:
        return "No other two-look case was timed on both sides, so nothing is taken off."
    cases = "1 other two-look case" if n == 1 else f"{n} other two-look cases"
    return f"Net of {cases}, which took {_less(exp(control.log_ratio))} meanwhile."


def _solves(side: pd.DataFrame, zone: ZoneInfo) -> tuple[TimedSolve, ...]:
    timed = side[side["stage_ms"].notna()].iloc[::-1]
    return tuple(
        TimedSolve(
            int(row["solve_id"]),
            moment(row["done_at"].to_pydatetime(), zone),
            average(row["stage_ms"]),
        )
        for _, row in timed.iterrows()
    )
