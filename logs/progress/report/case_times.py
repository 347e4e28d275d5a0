"""A member's times of one case: what is typical, how they went, and what is marked on the way."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pandas as pd
from pandas.api.typing import NaTType

from clubsite.accounts.models import User
from cubecore.cases import Case
from logs.cases.facts import chance_of, code_of, turns_by_code
from logs.homework.due_dates import weekly_pace
from logs.homework.selectors import homework_asked, weekly_counts_of_member
from logs.homework.services import day_words
from logs.progress.case_charts import Mark, Typical, sightings_figure
from logs.progress.figures.cases import gaps_over_share
from logs.progress.figures.first_uses import first_uses
from logs.progress.selectors import time_mark_list
from logs.stats.curves import FITTED_FROM, curve_band, learning_curves
from logs.stats.distributions import ODD_Z, Shape, robust_z, shape
from logs.stats.grid import PooledTimes, pooled_times
from logs.stats.plateaus import JUDGED_FROM, TrendState, trend
from logs.stats.pooling import case_sums
from logs.words import average, times

DRAWN = 60
"""So many of the newest sightings are drawn."""


TREND_OVER = 12
"""So many of the newest times tell whether a case still gets faster."""


LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class TypicalTime:
    """A typical time for the page; ``centre`` is empty while its range is too wide to name it."""

    name: str
    centre: str
    band: str


@dataclass(frozen=True, slots=True)
class TimeLine:
    """One sighting behind the chart."""

    number: int
    solve_id: int
    done: str
    recognition: str
    execution: str
    is_odd: bool


@dataclass(frozen=True, slots=True)
class CaseTimes:
    """What the times of a case say.

    Attributes:
        what: Whose times are counted: those in one look, or all while none was in one look.
        n: Timed sightings counted.
        typical: Recognition, execution and stage.
        figure: The chart as plain values; None without a time.
        lines: The sightings drawn, oldest first.
        marks: Letter and words of each mark on the axis.
        spread: How times spread, in words; empty below three.
        trend: Whether it still gets faster, in words.
        curve: What the curve may be read for, in words; empty where none is drawn.
        review: When chance brings the case again, in words; empty without a pace.
    """

    what: str
    n: int
    typical: tuple[TypicalTime, ...]
    figure: dict[str, Any] | None
    lines: tuple[TimeLine, ...]
    marks: tuple[tuple[str, str], ...]
    spread: str
    trend: str
    curve: str
    review: str


def case_times(
    *, actor: User, sightings: pd.DataFrame, case: Case, zone: ZoneInfo, now: datetime
) -> CaseTimes:
    """The actor's times of a case.

    Args:
        actor: Whose log it is.
        sightings: All their ``SIGHTING_COLUMNS`` of solves.
        case: The case.
        zone: For dates.
        now: Aware.
    """
    of_stage = sightings[sightings["stage"] == case.id.stage.value]
    is_timed = (of_stage["recognition_ms"] > 0) & (of_stage["execution_ms"] > 0)
    timed = of_stage[is_timed & (of_stage["misfire_kind"] == "")]
    name = str(case.id.number)
    is_one_look = bool((timed["is_one_look"] & (timed["case"] == name)).any())
    counted = timed[timed["is_one_look"]] if is_one_look else timed[~timed["is_one_look"]]
    own = counted[counted["case"] == name].reset_index(drop=True)
    own.index = pd.RangeIndex(1, len(own) + 1)
    own["stage_ms"] = own["recognition_ms"] + own["execution_ms"]
    own["is_odd"] = [z >= ODD_Z for z in robust_z(own["stage_ms"])] if len(own) else []
    marks = _marks(actor, own, of_stage[of_stage["case"] == name], case, zone)
    stages = _pooled(counted, "stage_ms", case)
    drawn = own.iloc[-DRAWN:]
    curves = learning_curves(list(own["stage_ms"]))
    curve = curve_band(curves, sightings=[float(number) for number in drawn.index])
    return CaseTimes(
        what="in one look" if is_one_look else "in two looks or more",
        n=len(own),
        typical=_typical_times(counted, stages, case) if len(own) else (),
        figure=_figure(drawn, marks, curve if curves else None, stages, case, zone),
        lines=tuple(_line(int(str(number)), row, zone) for number, row in drawn.iterrows()),
        marks=tuple((mark.letter, mark.words) for mark in marks),
        spread=spread_words(shape(own["stage_ms"])),
        trend=trend_words(list(own["stage_ms"])),
        curve=CURVE_WORDS if curves else "",
        review=_review(actor, case, sightings, now, zone),
    )


CURVE_WORDS = (
    f"From {FITTED_FROM} times on a curve is drawn: several shapes of curve together, each as far as"
    " it fits. It says how it went so far, and promises no final time."
)


def _pooled(counted: pd.DataFrame, column: str, case: Case) -> PooledTimes | None:
    """The typical times of all cases of the stage, each leaning on the others."""
    frame = counted.assign(stage_ms=counted["recognition_ms"] + counted["execution_ms"])
    stage = case.id.stage.value
    frame = frame[frame["case"] != "skip"]
    code = [f"{stage}-{number}" for number in frame["case"]]
    turns = None if column == "recognition_ms" else turns_by_code()
    return pooled_times(case_sums(frame[column].set_axis(code), turns=turns)) if code else None


def _typical_times(
    counted: pd.DataFrame, stages: PooledTimes | None, case: Case
) -> tuple[TypicalTime, ...]:
    pooled = {
        "Recognition": _pooled(counted, "recognition_ms", case),
        "Execution": _pooled(counted, "execution_ms", case),
        "Both together": stages,
    }
    return tuple(_typical(name, found, case) for name, found in pooled.items() if found)


def _typical(name: str, found: PooledTimes, case: Case) -> TypicalTime:
    row = _row_of(found, case)
    low, high = average(row["low_ms"]), average(row["high_ms"])
    centre = average(row["centre_ms"]) if row["is_known"] else ""
    return TypicalTime(name, centre, f"{low} to {high}")


def _row_of(found: PooledTimes, case: Case) -> Mapping[Any, Any]:
    rows: Mapping[Any, Mapping[Any, Any]] = found.table().to_dict("index")
    return rows[code_of(case.id)]


def _figure(
    drawn: pd.DataFrame,
    marks: Sequence[Mark],
    curve: pd.DataFrame | None,
    stages: PooledTimes | None,
    case: Case,
    zone: ZoneInfo,
) -> dict[str, Any] | None:
    if drawn.empty or stages is None:
        return None
    row = _row_of(stages, case)
    typical = Typical(row["centre_ms"], row["low_ms"], row["high_ms"], int(row["n"]))
    words = [
        f"{_day(line['done_at'], zone)}: recognition {average(line['recognition_ms'])} s,"
        f" execution {average(line['execution_ms'])} s"
        for _, line in drawn.iterrows()
    ]
    first = int(drawn.index[0])
    figure = sightings_figure(
        drawn.assign(words=words),
        marks=[mark for mark in marks if mark.before >= first],
        curve=curve,
        typical=typical,
    )
    plain: dict[str, Any] = json.loads(figure.to_json())
    return plain


def _line(number: int, row: pd.Series, zone: ZoneInfo) -> TimeLine:
    return TimeLine(
        number=number,
        solve_id=int(row["solve_id"]),
        done=_day(row["done_at"], zone),
        recognition=average(row["recognition_ms"]),
        execution=average(row["execution_ms"]),
        is_odd=bool(row["is_odd"]),
    )


def _day(at: pd.Timestamp | NaTType, zone: ZoneInfo) -> str:
    return day_words(at.tz_convert(zone).date()) if isinstance(at, pd.Timestamp) else "undated"


def _marks(
    actor: User, own: pd.DataFrame, met: pd.DataFrame, case: Case, zone: ZoneInfo
) -> list[Mark]:
    """What happened on the way, in the order of the axis: set, taken up, or told by the member.

    ``own`` are the sightings on the axis, ``met`` all of the case.
    """
    days: list[date] = [at.tz_convert(zone).date() for at in own["done_at"].dropna()]
    n_undated = len(own) - len(days)

    def place(day: date) -> int:
        """The number of the first sighting on that day or later."""
        return n_undated + sum(done < day for done in days) + 1

    found = [
        (place(mark.day), f"{day_words(mark.day)}: {mark.word}")
        for mark in time_mark_list(actor=actor, member=actor)
    ]
    for homework in homework_asked(actor=actor):
        asked = {(one.stage, one.case) for one in homework.cases.all()}
        if (case.id.stage.value, str(case.id.number)) in asked:
            day = homework.set_at.astimezone(zone).date()
            found.append((place(day), f"{day_words(day)}: homework set"))
    for use in first_uses(met):
        day = use.at.astimezone(zone).date()
        what = "goes in one look from here" if use.is_first else f"first time with {use.algorithm}"
        found.append((place(day), f"{day_words(day)}: {what}"))
    return [
        Mark(before, LETTERS[at % len(LETTERS)], words)
        for at, (before, words) in enumerate(sorted(found))
    ]


def spread_words(found: Shape | None) -> str:
    """How times spread: the median and the 90th percentile; the slow tail from 40 on."""
    if found is None or found.n < 3:
        return ""
    said = (
        f"Half of my times are at most {average(found.median_ms)} s, nine in ten at most"
        f" {average(found.slow_ms)} s ({times(found.n)})."
    )
    if found.ex_gaussian is None:
        return said
    return f"{said} The slow tail, where I had to think, adds {average(found.ex_gaussian.tau_ms)} s on average."


def trend_words(times_ms: Sequence[float]) -> str:
    """Whether a case still gets faster, from its newest times; "level" only where that is shown."""
    newest = list(times_ms)[-TREND_OVER:]
    found = trend(newest)
    if found is None:
        more = JUDGED_FROM - len(newest)
        return f"Cannot tell yet whether it gets faster: about {more} more timed {_solves(more)}."
    low, high = (100 * end for end in (found.low, found.high))
    span = f"The last {found.n} times allow, in ten sightings, {_change(low)} to {_change(high)}."
    said: Mapping[TrendState, str] = {
        TrendState.IMPROVING: "It is still getting faster.",
        TrendState.SLOWING: "It is getting slower: a new algorithm or cube can do that at first.",
        TrendState.PLATEAU: "It stays level: any change is within 3% in ten sightings.",
        TrendState.CANNOT_TELL: "Cannot tell yet whether it still gets faster.",
    }
    return f"{said[found.state]} {span}"


def _solves(n: int) -> str:
    return "sighting" if n == 1 else "sightings"


def _change(percent: float) -> str:
    return f"{abs(percent):.0f}% {'faster' if percent < 0 else 'slower'}"


def _review(actor: User, case: Case, sightings: pd.DataFrame, now: datetime, zone: ZoneInfo) -> str:
    """When chance brings the case again: the solves are the reviews."""
    pace = weekly_pace(weekly_counts_of_member(actor=actor, member=actor, now=now))
    if not pace:
        return ""
    gap = 7 / (pace * chance_of(case))
    met = sightings[
        (sightings["stage"] == case.id.stage.value) & (sightings["case"] == str(case.id.number))
    ]["done_at"].dropna()
    last = f"Last met on {_day(met.iloc[-1], zone)}. " if len(met) else ""
    late = gaps_over_share(30, mean_gap_days=gap)
    return (
        f"{last}At {pace:.0f} solves a week chance brings it about every {gap:.0f} days;"
        f" {round(100 * late)} gaps in 100 are longer than 30 days. Each time it comes is a review."
    )
