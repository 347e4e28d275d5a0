"""Whether a case got faster since homework was set: net of chance and of what else changed."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from math import ceil

import pandas as pd

from cubecore.cases import SKIP, Case
from logs.cases.facts import chance_of
from logs.solves.figures.frames import step_of
from logs.stats import Range
from logs.stats.effect import case_effect, rate_change, sightings_for_power
from logs.stats.grid import LIKELY

LOOKED_FOR = 0.25
"""The gain that "about n more solves" is reckoned for: what learning a case saves at the least."""


@dataclass(frozen=True, slots=True)
class TimedSolve:
    """A solve behind a figure, and the time of the case in it.

    Attributes:
        solve_id: Its number.
        done_at: When it was done.
        stage_ms: Recognition and execution of the case together, ms.
        step_ms: How fine that was taken, ms; null where the log does not say.
    """

    solve_id: int
    done_at: datetime
    stage_ms: int
    step_ms: int | None


@dataclass(frozen=True, slots=True)
class TimeEffect:
    """What the times of a case since homework was set are of those before.

    Attributes:
        ratio: Mean time of a sighting since by that before, net of the control.
        ratio_range: Where that ratio lies.
        p_faster: Chance that it is below 1, 0..1; it keeps its error however often it is looked at.
        p_slower: Chance that it is above 1, 0..1; what is left of 1 is no change.
        p_tenth_faster: Chance that it is at most 0.9, 0..1.
        n_before: Timed sightings before.
        n_since: Timed sightings since.
        n_more_solves: Solves that would show a quarter less time; null where the change can be told,
            or where so many did not show it.
        control_ratio: What the other cases did over the same time, as a ratio.
        n_control: How many of them were timed on both sides, done the same way.
    """

    ratio: float
    ratio_range: Range
    p_faster: float
    p_slower: float
    p_tenth_faster: float
    n_before: int
    n_since: int
    n_more_solves: int | None
    control_ratio: float
    n_control: int


@dataclass(frozen=True, slots=True)
class RateEffect:
    """How often a case went in one look before and since.

    Attributes:
        n_before: Sightings before.
        n_hits_before: Those of them in one look.
        n_since: Sightings since.
        n_hits_since: Those of them in one look.
        p_larger: Chance that it goes in one look more often now, 0..1.
    """

    n_before: int
    n_hits_before: int
    n_since: int
    n_hits_since: int
    p_larger: float


@dataclass(frozen=True, slots=True)
class EffectReport:
    """What the times and the looks of a case say, before and since.

    Attributes:
        time: The change of time; null without times on both sides.
        rate: The change of the one-look rate; null without looks on both sides.
        once_in: The case comes up once in so many solves.
        before: The timed solves before it was set, newest first.
        since: Those since.
    """

    time: TimeEffect | None
    rate: RateEffect | None
    once_in: int
    before: tuple[TimedSolve, ...]
    since: tuple[TimedSolve, ...]


def effect_report(
    sightings: pd.DataFrame,
    case: Case,
    *,
    set_at: datetime,
    until: datetime | None,
    asked: Collection[str],
) -> EffectReport:
    """The change of one case of a homework.

    One look is compared with one look and two with two (`logs.stats.effect`); misfires count on
    both sides.

    Args:
        sightings: All ``SIGHTING_COLUMNS`` of the member's solves.
        case: The case.
        set_at: When it was asked for; undated solves are on neither side.
        until: When the homework was closed; None while it is open.
        asked: Names of all cases of that stage that homework ever asked of the member: these
            control nothing.
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
    of_case_before, of_case_since = before[before["case"] == name], since[since["case"] == name]
    return EffectReport(
        time=_time_effect((before, since), case, asked),
        rate=_rate_effect(of_case_before, of_case_since),
        once_in=ceil(1 / chance_of(case)),
        before=_solves(of_case_before),
        since=_solves(of_case_since),
    )


def _time_effect(
    sides: tuple[pd.DataFrame, pd.DataFrame],
    case: Case,
    asked: Collection[str],
) -> TimeEffect | None:
    before, since = sides
    change = case_effect(before, since, case=str(case.id.number), asked=asked)
    if change is None:
        return None
    n_more = None
    wanted = sightings_for_power(LOOKED_FOR, sigma=change.sigma)
    if max(change.p_faster, change.p_slower) < LIKELY and change.n_since < wanted:
        n_more = ceil((wanted - change.n_since) / chance_of(case))
    return TimeEffect(
        ratio=change.ratio,
        ratio_range=change.range,
        p_faster=change.p_faster,
        p_slower=change.p_slower,
        p_tenth_faster=change.p_tenth_faster,
        n_before=change.n_before,
        n_since=change.n_since,
        n_more_solves=n_more,
        control_ratio=change.control_ratio,
        n_control=change.n_control,
    )


def _rate_effect(before: pd.DataFrame, since: pd.DataFrame) -> RateEffect | None:
    if before.empty or since.empty:
        return None
    was, now = ((int(side["is_one_look"].sum()), len(side)) for side in (before, since))
    return RateEffect(was[1], was[0], now[1], now[0], rate_change(was, now).p_larger)


def _solves(side: pd.DataFrame) -> tuple[TimedSolve, ...]:
    timed = side[side["stage_ms"].notna()].iloc[::-1]
    return tuple(
        TimedSolve(
            solve_id=int(row["solve_id"]),
            done_at=row["done_at"].to_pydatetime(),
            stage_ms=int(row["stage_ms"]),
            step_ms=step_of(row["step_ms"]),
        )
        for _, row in timed.iterrows()
    )
