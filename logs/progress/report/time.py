"""Progress over time: averages as competition has them, times with their marks, trends of cases."""

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from cubecore.cases import Stage
from cubecore.rows import format_time
from logs.homework.selectors import homework_of
from logs.people.report.whose import Sight
from logs.progress.charts import AxisMark, over_time_figure
from logs.progress.report.log_figures import Figures, of_stage, table_of
from logs.progress.selectors import time_mark_list
from logs.stats.plateaus import TrendState
from logs.words import DNF, average, case_title, day_words

HOMEWORK: Final = "Homework set"


NEW_CASE: Final = "First in one look"


NEW_ALGORITHM: Final = "New algorithm"


OWN_MARK: Final = "Own mark"


KINDS: Final = (HOMEWORK, NEW_CASE, NEW_ALGORITHM, OWN_MARK)


AVERAGE_NAMES: Final = {
    3: "Mean of 3",
    5: "Average of 5",
    12: "Average of 12",
    50: "Average of 50",
    100: "Average of 100",
}


TREND_WORDS: Final = {
    TrendState.IMPROVING: "still improving",
    TrendState.PLATEAU: "plateau: the same within 3%",
    TrendState.SLOWING: "getting slower",
    TrendState.CANNOT_TELL: "cannot tell yet",
}


@dataclass(frozen=True, slots=True)
class AverageCell:
    """An average: its time, and the solve that its window ends with."""

    time: str
    solve_id: int


@dataclass(frozen=True, slots=True)
class AverageLine:
    """The single, the mean or an average of so many solves; None while there are fewer."""

    name: str
    n: int
    latest: AverageCell | None
    best: AverageCell | None


@dataclass(frozen=True, slots=True)
class MarkLine:
    """A mark on the axis; ``mark_id`` of one that the member made, ``solve_id`` of the first with it."""

    day: str
    kind: str
    words: str
    mark_id: int | None
    solve_id: int | None


@dataclass(frozen=True, slots=True)
class PeriodLine:
    """A day or a week of solves; ``since`` is its first day for an address."""

    start: str
    since: str
    n: int
    median: str
    band: str


@dataclass(frozen=True, slots=True)
class TrendLine:
    """Whether a case still gets faster.

    Attributes:
        stage: Of the case.
        number: The case.
        title: The case in words.
        n: Sightings judged.
        range: The change in ten sightings, in per cent, its 90 % interval.
        words: The verdict.
        marks: What happened while they were met, which may be behind the change.
    """

    stage: str
    number: str
    title: str
    n: int
    range: str
    words: str
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TimeReport:
    """The part of the Progress page about time.

    ``n_judged`` counts the cases with enough sightings to judge, ``n_by_chance`` how many of them
    would look faster, and as many slower, though none changed.
    """

    averages: tuple[AverageLine, ...]
    unit: str
    figure: Figures | None
    periods: tuple[PeriodLine, ...]
    marks: tuple[MarkLine, ...]
    trends: tuple[TrendLine, ...]
    n_judged: int
    n_by_chance: str
    n_undated: int


@dataclass(frozen=True, slots=True)
class _Mark:
    """A mark with all that its uses need; ``case`` is the stage and number it is about."""

    day: date
    kind: str
    words: str
    cases: tuple[tuple[str, str], ...] = ()
    mark_id: int | None = None
    solve_id: int | None = None


def time_report(
    *, actor: User, member: Sight, solves: Figures, stages: dict[Stage, Figures], stage: Stage
) -> TimeReport:
    """The part about time, from figures of the log and the marks of the member.

    Args:
        actor: Who asks.
        member: Sight progress.
        solves: As from `logs.progress.report.log_figures.solve_figures`.
        stages: As from `logs.progress.report.log_figures.stage_figures`, both.
        stage: The stage whose trends are shown.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    marks = _marks(actor, member, stages)
    periods = table_of(solves["periods"])
    figure = None
    if len(periods):
        first = date.fromisoformat(periods["start"].iloc[0])
        shown = [AxisMark(m.day, m.kind, m.words) for m in marks if m.day >= first]
        made = over_time_figure(periods, shown, unit=solves["unit"], kinds=KINDS)
        figure = json.loads(made.to_json())
    trends = stages[stage]["trends"]
    return TimeReport(
        averages=_averages(solves),
        unit=solves["unit"],
        figure=figure,
        periods=tuple(_period(row) for row in reversed(periods.to_dict("records"))),
        marks=tuple(
            MarkLine(day_words(m.day), m.kind, m.words, m.mark_id, m.solve_id)
            for m in reversed(marks)
        ),
        trends=tuple(_trend(one, stage, marks, member.zone) for one in _ordered(trends, stage)),
        n_judged=len(trends),
        n_by_chance=f"{0.05 * len(trends):.0f}",
        n_undated=solves["n_solves"] - solves["n_dated"],
    )


def _averages(solves: Figures) -> tuple[AverageLine, ...]:
    latest, best = (_cell(solves[name], _reading) for name in ("latest", "single"))
    lines = [AverageLine("Single", 1, latest, best)]
    for one in solves["averages"]:
        window = one["window"]
        lines.append(
            AverageLine(AVERAGE_NAMES[window], window, _cell(one["latest"]), _cell(one["best"]))
        )
    return tuple(lines)


def _cell(found: Figures | None, written: Callable[[float], str] = average) -> AverageCell | None:
    if found is None:
        return None
    return AverageCell(DNF if found["ms"] is None else written(found["ms"]), found["solve_id"])


def _reading(ms: float) -> str:
    """A single as it counts: truncated to the hundredth, where averages are rounded."""
    return format_time(int(ms))


def _period(row: dict[Any, Any]) -> PeriodLine:
    return PeriodLine(
        start=day_words(date.fromisoformat(row["start"])),
        since=row["start"],
        n=row["n"],
        median=average(row["median_ms"]),
        band="too few for a range"
        if row["low_ms"] != row["low_ms"]
        else f"{average(row['low_ms'])} to {average(row['high_ms'])}",
    )


def _marks(actor: User, member: Sight, stages: dict[Stage, Figures]) -> list[_Mark]:
    """All marks, the oldest first."""
    zone = member.zone
    marks = [
        _Mark(mark.day, OWN_MARK, mark.word, mark_id=mark.pk)
        for mark in time_mark_list(actor=actor, member=member.user)
    ]
    for homework in homework_of(actor=actor, member=member.user):
        cases = tuple((case.stage, case.case) for case in homework.cases.all())
        words = ", ".join(case_title(*case) for case in cases)
        marks.append(_Mark(homework.set_at.astimezone(zone).date(), HOMEWORK, words, cases))
    for figures in stages.values():
        for use in figures["first_uses"]:
            case = (use["stage"], use["case"])
            words = case_title(*case)
            if not use["is_first"]:
                words = f"{words}: {use['algorithm']}"
            marks.append(
                _Mark(
                    _day(use["at"], zone),
                    NEW_CASE if use["is_first"] else NEW_ALGORITHM,
                    words,
                    (case,),
                    solve_id=use["solve_id"],
                )
            )
    return sorted(marks, key=lambda mark: (mark.day, mark.kind, mark.words))


def _day(instant: str, zone: ZoneInfo) -> date:
    return datetime.fromisoformat(instant).astimezone(zone).date()


_ORDER: Final = (
    TrendState.IMPROVING,
    TrendState.SLOWING,
    TrendState.PLATEAU,
    TrendState.CANNOT_TELL,
)


def _ordered(trends: Sequence[Figures], stage: Stage) -> list[Figures]:
    """Those with a verdict first, then by number."""
    numbers = list(of_stage(stage))
    return sorted(
        trends,
        key=lambda one: (_ORDER.index(TrendState(one["state"])), numbers.index(one["case"])),
    )


def _trend(one: Figures, stage: Stage, marks: Sequence[_Mark], zone: ZoneInfo) -> TrendLine:
    since = None if one["since"] is None else _day(one["since"], zone)
    own = (stage.value, one["case"])
    met = [
        f"{mark.kind.lower()}: {mark.words}, {day_words(mark.day)}"
        if mark.kind == OWN_MARK
        else f"{mark.kind.lower()}, {day_words(mark.day)}"
        for mark in marks
        if since is not None and mark.day >= since and (not mark.cases or own in mark.cases)
    ]
    return TrendLine(
        stage=stage.value,
        number=one["case"],
        title=case_title(*own),
        n=one["n"],
        range=f"{_signed(one['low'])} to {_signed(one['high'])}",
        words=TREND_WORDS[TrendState(one["state"])],
        marks=tuple(met),
    )


def _signed(share: float) -> str:
    """A change in per cent with its sign."""
    percent = round(100 * share)
    sign = "+" if percent > 0 else "\N{MINUS SIGN}" if percent < 0 else ""
    return f"{sign}{abs(percent)}%"
