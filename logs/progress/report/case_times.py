"""A member's times of one case: what is typical, how they went, and what happened on the way."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any
from zoneinfo import ZoneInfo

import pandas as pd

from clubsite.accounts.models import User
from cubecore.cases import Case
from logs.cases.facts import chance_of, code_of, turns_by_code
from logs.cases.report import CaseName
from logs.homework.figures import weekly_pace
from logs.homework.selectors import homework_asked, weekly_counts_of_member
from logs.progress.figures.cases import SKIP, first_uses, gaps_over_share
from logs.progress.report.progress import TypicalTime
from logs.progress.report.time import MarkKind, TimeMarkLine
from logs.progress.selectors import time_mark_list
from logs.solves.figures.frames import step_of
from logs.stats import Range
from logs.stats.curves import BAND as CURVE_LEVEL
from logs.stats.curves import (
    JUDGED,
    JUDGED_FROM,
    TREND_LEVEL,
    TrendState,
    curve_band,
    learning_curves,
    trend,
)
from logs.stats.distributions import ODD_Z, robust_z, shape
from logs.stats.grid import BAND as TIMES_LEVEL
from logs.stats.grid import PooledTimes, pooled_times
from logs.stats.pooling import blocks_ago, case_sums

DRAWN = 60
"""So many of the newest sightings stand on the axis."""


SPREAD_FROM = 3
"""Below so many times nothing is told of how they spread."""


LATE_DAYS = 30
"""A gap of more days is told of."""


class TimesOf(StrEnum):
    """Which sightings are counted: never both, as two looks take longer than one."""

    ONE_LOOK = "one_look"
    MORE_LOOKS = "more_looks"


@dataclass(frozen=True, slots=True)
class CaseTime:
    """One timed sighting.

    Attributes:
        number: Its place among the timed sightings counted, the first ever being 1.
        solve_id: Number of the solve.
        done_at: When it was; null where the log does not tell.
        recognition_ms: Recognition, ms.
        execution_ms: Execution, ms.
        step_ms: How fine these were taken, ms; null where the log does not say.
        is_odd: Whether it lies far from the others; it is counted all the same.
    """

    number: int
    solve_id: int
    done_at: datetime | None
    recognition_ms: float
    execution_ms: float
    step_ms: int | None
    is_odd: bool


@dataclass(frozen=True, slots=True)
class CaseMark:
    """What happened, on the axis of sightings.

    Attributes:
        before: Number of the first sighting on that day or later; one beyond the last where there
            is none.
        mark: What happened.
    """

    before: int
    mark: TimeMarkLine


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """The learning curve at one sighting: several shapes together, each as far as it fits.

    Attributes:
        number: The sighting.
        centre_ms: The curve there, ms.
        range_ms: Where the curve lies, ms.
    """

    number: int
    centre_ms: float
    range_ms: Range


@dataclass(frozen=True, slots=True)
class Spread:
    """How times spread.

    Attributes:
        n: Times.
        median_ms: Half of them are at most so long, ms.
        slow_ms: Nine in ten of them are at most so long, ms.
        tail_ms: What the slow tail adds on average, ms; null below forty times.
    """

    n: int
    median_ms: float
    slow_ms: float
    tail_ms: float | None


@dataclass(frozen=True, slots=True)
class CaseTrend:
    """Whether the case still gets faster.

    Attributes:
        n: Newest times judged.
        n_more: Timed sightings still needed to judge; 0 when judged.
        state: The verdict.
        change: Share by which times change in ten sightings, below 0 is faster; null when not
            judged.
    """

    n: int
    n_more: int
    state: TrendState
    change: Range | None


@dataclass(frozen=True, slots=True)
class Meetings:
    """How often chance brings the case.

    Attributes:
        last_on: The day it was last met, in the club's time zone; null without one.
        solves_a_week: The member's pace.
        mean_gap_days: Days between two sightings, on average.
        late_days: A gap of more days than these is late.
        late_share: Share of gaps that are late, 0..1.
    """

    last_on: date | None
    solves_a_week: float
    mean_gap_days: float
    late_days: int
    late_share: float


@dataclass(frozen=True, slots=True)
class CaseTimes:
    """What the times of a case say.

    Attributes:
        counted: Which sightings are counted: those in one look; others only while there is none.
        n: Timed sightings counted.
        recognition: Typical recognition; null without a time.
        execution: Typical execution; null without a time.
        stage: Typical time of both together; null without a time.
        times: The newest sightings counted, the oldest of them first.
        marks: What happened on the way, in the order of the axis.
        spread: How times spread; null below three.
        trend: Whether it still gets faster.
        curve: The learning curve at ``times``; none below twelve sightings.
        meetings: How often chance brings the case; null without a pace.
    """

    counted: TimesOf
    n: int
    recognition: TypicalTime | None
    execution: TypicalTime | None
    stage: TypicalTime | None
    times: tuple[CaseTime, ...]
    marks: tuple[CaseMark, ...]
    spread: Spread | None
    trend: CaseTrend
    curve: tuple[CurvePoint, ...]
    meetings: Meetings | None


def case_times(
    *, actor: User, sightings: pd.DataFrame, case: Case, zone: ZoneInfo, now: datetime
) -> CaseTimes:
    """The actor's times of a case.

    Args:
        actor: Whose log it is.
        sightings: All their ``SIGHTING_COLUMNS`` of solves.
        case: The case.
        zone: Says when a day begins.
        now: Aware.
    """
    of_stage = sightings[sightings["stage"] == case.id.stage.value]
    of_stage = of_stage.assign(block=blocks_ago(len(of_stage)))
    met = of_stage[of_stage["case"] == str(case.id.number)]
    counted, times_of = _counted(of_stage, str(case.id.number))
    own = counted[counted["case"] == str(case.id.number)].reset_index(drop=True)
    own.index = pd.RangeIndex(1, len(own) + 1)
    own["is_odd"] = [z >= ODD_Z for z in robust_z(own["stage_ms"])] if len(own) else []
    times_ms = [float(ms) for ms in own["stage_ms"]]
    drawn = own.iloc[-DRAWN:]
    return CaseTimes(
        counted=times_of,
        n=len(own),
        recognition=_typical(counted, "recognition_ms", case),
        execution=_typical(counted, "execution_ms", case),
        stage=_typical(counted, "stage_ms", case),
        times=tuple(_time(int(str(number)), row) for number, row in drawn.iterrows()),
        marks=_marks(actor, own, met, case, zone),
        spread=spread_of(own["stage_ms"]),
        trend=trend_of(times_ms),
        curve=_curve(times_ms, [int(number) for number in drawn.index]),
        meetings=_meetings(actor, case, met, now, zone),
    )


def _counted(of_stage: pd.DataFrame, number: str) -> tuple[pd.DataFrame, TimesOf]:
    """The stage's timed sightings done as the case mostly is, without misfires."""
    is_timed = (of_stage["recognition_ms"] > 0) & (of_stage["execution_ms"] > 0)
    timed = of_stage[is_timed & (of_stage["misfire_kind"] == "") & (of_stage["case"] != SKIP)]
    timed = timed.assign(stage_ms=timed["recognition_ms"] + timed["execution_ms"])
    if (timed["is_one_look"] & (timed["case"] == number)).any():
        return timed[timed["is_one_look"]], TimesOf.ONE_LOOK
    return timed[~timed["is_one_look"]], TimesOf.MORE_LOOKS


def _typical(counted: pd.DataFrame, column: str, case: Case) -> TypicalTime | None:
    """The typical time of the case now, leaning on the stage's others; None without its own."""
    if not (counted["case"] == str(case.id.number)).any():
        return None
    codes = [f"{case.id.stage.value}-{number}" for number in counted["case"]]
    is_along = column != "recognition_ms" and bool(counted["is_one_look"].all())
    turns = turns_by_code() if is_along else None
    times = counted[column].set_axis(codes)
    pooled = pooled_times(case_sums(times, turns=turns, blocks=counted["block"].to_numpy()))
    return None if pooled is None else typical_time(pooled, code_of(case.id))


def typical_time(pooled: PooledTimes, case: str) -> TypicalTime:
    """The typical time of one of the cases."""
    rows: Mapping[Any, Mapping[Any, Any]] = pooled.table().to_dict("index")
    row = rows[case]
    return TypicalTime(
        centre_ms=row["centre_ms"],
        range_ms=Range(low=row["low_ms"], high=row["high_ms"], level=TIMES_LEVEL),
        is_known=row["is_known"],
    )


def _time(number: int, row: pd.Series) -> CaseTime:
    return CaseTime(
        number=number,
        solve_id=int(row["solve_id"]),
        done_at=row["done_at"].to_pydatetime()
        if isinstance(row["done_at"], pd.Timestamp)
        else None,
        recognition_ms=float(row["recognition_ms"]),
        execution_ms=float(row["execution_ms"]),
        step_ms=step_of(row["step_ms"]),
        is_odd=bool(row["is_odd"]),
    )


def _curve(times_ms: Sequence[float], numbers: Sequence[int]) -> tuple[CurvePoint, ...]:
    curves = learning_curves(times_ms)
    if not curves:
        return ()
    points = curve_band(curves, sightings=[float(number) for number in numbers])
    return tuple(
        CurvePoint(
            number=number,
            centre_ms=row["centre_ms"],
            range_ms=Range(low=row["low_ms"], high=row["high_ms"], level=CURVE_LEVEL),
        )
        for number, row in zip(numbers, points.to_dict("records"), strict=True)
    )


def _marks(
    actor: User, own: pd.DataFrame, met: pd.DataFrame, case: Case, zone: ZoneInfo
) -> tuple[CaseMark, ...]:
    """What happened on the way: set, taken up, or told by the member.

    ``own`` are the sightings on the axis, ``met`` all of the case.
    """
    days: list[date] = [at.tz_convert(zone).date() for at in own["done_at"].dropna()]
    n_undated = len(own) - len(days)
    stage, number = case.id.stage.value, str(case.id.number)
    link = (CaseName(case.id.stage, number, str(case)),)
    marks = [
        TimeMarkLine(mark.day, MarkKind.OWN, word=mark.word, mark_id=mark.pk)
        for mark in time_mark_list(actor=actor, member=actor)
    ]
    for homework in homework_asked(actor=actor):
        if (stage, number) in {(asked.stage, asked.case) for asked in homework.cases.all()}:
            day = homework.set_at.astimezone(zone).date()
            marks.append(TimeMarkLine(day, MarkKind.HOMEWORK, link))
    for use in first_uses(met):
        kind = MarkKind.NEW_CASE if use.is_first else MarkKind.NEW_ALGORITHM
        day = use.at.astimezone(zone).date()
        marks.append(TimeMarkLine(day, kind, link, use.algorithm, solve_id=use.solve_id))
    placed = [
        CaseMark(n_undated + sum(done < mark.day for done in days) + 1, mark) for mark in marks
    ]
    return tuple(sorted(placed, key=lambda at: (at.before, at.mark.day, at.mark.kind)))


def spread_of(times_ms: pd.Series) -> Spread | None:
    """How times spread; None below `SPREAD_FROM`."""
    found = shape(times_ms)
    if found is None or found.n < SPREAD_FROM:
        return None
    tail = None if found.ex_gaussian is None else found.ex_gaussian.tau_ms
    return Spread(found.n, found.median_ms, found.slow_ms, tail)


def trend_of(times_ms: Sequence[float]) -> CaseTrend:
    """Whether a case still gets faster, from its newest times; level only where that is shown."""
    newest = list(times_ms)[-JUDGED:]
    judged = trend(newest)
    if judged is None:
        n_more = JUDGED_FROM - len(newest)
        return CaseTrend(len(newest), n_more, TrendState.CANNOT_TELL, None)
    change = Range(low=judged.low, high=judged.high, level=TREND_LEVEL)
    return CaseTrend(judged.n, 0, judged.state, change)


def _meetings(
    actor: User, case: Case, met: pd.DataFrame, now: datetime, zone: ZoneInfo
) -> Meetings | None:
    """How often chance brings the case: the solves are the reviews."""
    pace = weekly_pace(weekly_counts_of_member(actor=actor, member=actor, now=now))
    if not pace:
        return None
    gap = 7 / (pace * chance_of(case))
    dated = met["done_at"].dropna()
    return Meetings(
        last_on=dated.iloc[-1].tz_convert(zone).date() if len(dated) else None,
        solves_a_week=pace,
        mean_gap_days=gap,
        late_days=LATE_DAYS,
        late_share=gaps_over_share(LATE_DAYS, mean_gap_days=gap),
    )
