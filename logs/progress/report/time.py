"""Progress over time: results, times with their marks, trends of cases."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Final
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from cubecore.cases import Stage
from cubecore.rows import TimedBy
from logs.cases.report import CaseName
from logs.homework.selectors import homework_of
from logs.people.sight import Sight
from logs.progress.figures.log import Figures, Form, of_stage, table_of
from logs.progress.selectors import time_mark_list
from logs.stats import Range
from logs.stats.curves import TREND_LEVEL, TrendState
from logs.stats.periods import PeriodUnit
from logs.words import case_title

PERIOD_LEVEL = 0.80
"""The 10th and the 90th percentile: eight solves in ten lie between them."""


class MarkKind(StrEnum):
    """What stands on the axis of time."""

    HOMEWORK = "homework"
    NEW_CASE = "new_case"
    NEW_ALGORITHM = "new_algorithm"
    INSTRUMENT = "instrument"
    OWN = "own"


@dataclass(frozen=True, slots=True)
class SolveResult:
    """A result, and the solve that it ends with.

    Attributes:
        time_ms: As it counts, ms; null for a DNF.
        solve_id: Number of the solve.
    """

    time_ms: float | None
    solve_id: int


@dataclass(frozen=True, slots=True)
class FormResults:
    """The results of one form of the competition's.

    Attributes:
        form: The form.
        n: Solves that it takes.
        latest: Of the newest solves; null while there are too few.
        best: The best so far; null where none counted.
    """

    form: Form
    n: int
    latest: SolveResult | None
    best: SolveResult | None


@dataclass(frozen=True, slots=True)
class RecentSolves:
    """The median of the newest solves, DNFs counted as slower than all.

    Attributes:
        n: Solves behind it.
        n_dnf: DNFs among them.
        median_ms: Their median, ms; null where that is a DNF.
        range_ms: Where the median of all that could have been lies, ms; null without an end.
        last_solve_id: Number of the newest solve.
    """

    n: int
    n_dnf: int
    median_ms: float | None
    range_ms: Range | None
    last_solve_id: int


@dataclass(frozen=True, slots=True)
class TimeMarkLine:
    """A mark on the axis of time.

    Attributes:
        day: The day, in the club's time zone.
        kind: What it is.
        cases: What it is about.
        algorithm: A new algorithm as the labels spell it; else empty.
        word: What the member wrote on a mark of their own; else empty.
        mark_id: Number of a mark that the member made; else null.
        solve_id: The first solve with it; null where there is none to show.
        timed_by: What times of turns are taken with from then on, where that changed; else null.
    """

    day: date
    kind: MarkKind
    cases: tuple[CaseName, ...] = ()
    algorithm: str = ""
    word: str = ""
    mark_id: int | None = None
    solve_id: int | None = None
    timed_by: TimedBy | None = None


@dataclass(frozen=True, slots=True)
class PeriodTimes:
    """The solves of a day or a week.

    Attributes:
        start: The day, or the Monday of the week (ISO 8601).
        n: Solves that counted.
        median_ms: Their median, ms.
        range_ms: Where eight in ten of them lie, ms; null below five.
    """

    start: date
    n: int
    median_ms: float
    range_ms: Range | None


@dataclass(frozen=True, slots=True)
class CaseTrendLine:
    """Whether a case still gets faster.

    Attributes:
        case: The case.
        n: Newest timed one-look sightings judged.
        change: Share by which times change in ten sightings; below 0 is faster.
        state: The verdict.
        marks: What happened while they were met, which may be behind the change.
    """

    case: CaseName
    n: int
    change: Range
    state: TrendState
    marks: tuple[TimeMarkLine, ...]


@dataclass(frozen=True, slots=True)
class TimeReport:
    """How times went.

    Attributes:
        results: The forms of the competition's.
        recent: The median of the newest solves; null without a solve.
        unit: What a period is.
        periods: Days or weeks in which something was solved, the newest first.
        marks: The newest first.
        trends: Cases of the chosen stage with enough sightings to judge, those with a verdict
            first.
        n_by_chance: How many of them would look faster, and as many slower, though none changed,
            on average.
        n_undated: Solves without a date, which are in no period.
    """

    results: tuple[FormResults, ...]
    recent: RecentSolves | None
    unit: PeriodUnit
    periods: tuple[PeriodTimes, ...]
    marks: tuple[TimeMarkLine, ...]
    trends: tuple[CaseTrendLine, ...]
    n_by_chance: float
    n_undated: int


def time_report(
    *, actor: User, member: Sight, solves: Figures, stages: dict[Stage, Figures], stage: Stage
) -> TimeReport:
    """The part about time, from figures of the log and the marks of the member.

    Args:
        actor: Who asks.
        member: Sight progress.
        solves: As from `logs.progress.figures.log.solve_figures`.
        stages: As from `logs.progress.figures.log.stage_figures`, both.
        stage: The stage whose trends are told.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    marks = _marks(actor, member, solves, stages)
    trends = _ordered(stages[stage]["trends"], stage)
    return TimeReport(
        results=tuple(
            FormResults(
                form=Form(line["form"]),
                n=line["n"],
                latest=_result(line["latest"]),
                best=_result(line["best"]),
            )
            for line in solves["results"]
        ),
        recent=_recent(solves["recent"]),
        unit=PeriodUnit(solves["unit"]),
        periods=_periods(solves),
        marks=tuple(reversed(marks)),
        trends=tuple(_trend(line, stage, marks, member.zone) for line in trends),
        n_by_chance=(1 - TREND_LEVEL) / 2 * len(trends),
        n_undated=solves["n_solves"] - solves["n_dated"],
    )


def _result(kept: Figures | None) -> SolveResult | None:
    return None if kept is None else SolveResult(kept["ms"], kept["solve_id"])


def _recent(kept: Figures | None) -> RecentSolves | None:
    if kept is None:
        return None
    low, high = kept["low_ms"], kept["high_ms"]
    is_closed = low is not None and high is not None
    return RecentSolves(
        n=kept["n"],
        n_dnf=kept["n_dnf"],
        median_ms=kept["median_ms"],
        range_ms=Range(low=low, high=high, level=kept["held"]) if is_closed else None,
        last_solve_id=kept["solve_id"],
    )


def _periods(solves: Figures) -> tuple[PeriodTimes, ...]:
    return tuple(
        PeriodTimes(
            start=date.fromisoformat(row["start"]),
            n=row["n"],
            median_ms=row["median_ms"],
            range_ms=None
            if row["low_ms"] != row["low_ms"]
            else Range(low=row["low_ms"], high=row["high_ms"], level=PERIOD_LEVEL),
        )
        for row in reversed(table_of(solves["periods"]).to_dict("records"))
    )


def _marks(
    actor: User, member: Sight, solves: Figures, stages: dict[Stage, Figures]
) -> list[TimeMarkLine]:
    """All marks, the oldest first."""
    zone = member.zone
    marks = [
        TimeMarkLine(mark.day, MarkKind.OWN, word=mark.word, mark_id=mark.pk)
        for mark in time_mark_list(actor=actor, member=member)
    ]
    for homework in homework_of(actor=actor, member=member):
        cases = tuple(_case(case.stage, case.case) for case in homework.cases.all())
        marks.append(
            TimeMarkLine(homework.set_at.astimezone(zone).date(), MarkKind.HOMEWORK, cases)
        )
    marks += [
        TimeMarkLine(
            _day(change["at"], zone),
            MarkKind.INSTRUMENT,
            solve_id=change["solve_id"],
            timed_by=TimedBy(change["instrument"]),
        )
        for change in solves["instruments"]["changes"]
    ]
    for figures in stages.values():
        marks += [
            TimeMarkLine(
                _day(use["at"], zone),
                MarkKind.NEW_CASE if use["is_first"] else MarkKind.NEW_ALGORITHM,
                (_case(use["stage"], use["case"]),),
                algorithm="" if use["is_first"] else use["algorithm"],
                solve_id=use["solve_id"],
            )
            for use in figures["first_uses"]
        ]
    return sorted(marks, key=_mark_key)


def _mark_key(mark: TimeMarkLine) -> tuple[object, ...]:
    titles = [case.title for case in mark.cases]
    return mark.day, list(MarkKind).index(mark.kind), titles, mark.algorithm, mark.word


def _case(stage: str, number: str) -> CaseName:
    return CaseName(Stage(stage), number, case_title(stage, number))


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
        key=lambda line: (_ORDER.index(TrendState(line["state"])), numbers.index(line["case"])),
    )


def _trend(
    line: Figures, stage: Stage, marks: Sequence[TimeMarkLine], zone: ZoneInfo
) -> CaseTrendLine:
    since = None if line["since"] is None else _day(line["since"], zone)
    case = _case(stage.value, line["case"])
    return CaseTrendLine(
        case=case,
        n=line["n"],
        change=Range(low=line["low"], high=line["high"], level=TREND_LEVEL),
        state=TrendState(line["state"]),
        marks=tuple(
            mark
            for mark in marks
            if since is not None and mark.day >= since and (not mark.cases or case in mark.cases)
        ),
    )
