"""One member's sightings and solves counted: by case and week, over weeks, and what was mistaken.

Weeks of practice: which one a moment is in, and what was done in each, from tallies.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from math import fsum, log
from typing import Any, NamedTuple

from cubecore.endings import Status
from cubecore.results import Kind
from logs.solves.figures.mistakes import FirstLook, Mistake, is_known, read_first_look
from logs.solves.figures.standing import HIT, MISS, RECENT
from logs.stats.sketch import EMPTY, Sketch, sketch_of


@dataclass(frozen=True, slots=True)
class WeekPart:
    """What is kept of one week of one member.

    Attributes:
        week: Its Monday.
        n: Solves.
        times: Sketch of the times of those that are timed.
        member: Whose it is.
    """

    week: date
    n: int
    times: Sketch
    member: int = 0


@dataclass(frozen=True, slots=True)
class WeekFigures:
    """One week of one member, or of many together.

    Attributes:
        week: Its Monday.
        n_members: Members with anything in it.
        n: Solves.
        n_timed: Those behind the median.
        low_ms: Tenth percentile; the three are within `logs.stats.sketch.ALPHA` of the exact
            ones, and None of no times.
        median_ms: The median.
        high_ms: Ninetieth percentile: eight times in ten lie between.
    """

    week: date
    n_members: int
    n: int
    n_timed: int
    low_ms: float | None
    median_ms: float | None
    high_ms: float | None


def week_of(at: datetime) -> date:
    """The Monday, in UTC, of the week that an aware moment is in (ISO 8601 weeks)."""
    day = at.astimezone(UTC).date()
    return day - timedelta(days=day.weekday())


def mondays(first: date, last: date) -> list[date]:
    """The weeks from ``first`` to ``last``, both Mondays, oldest first."""
    return [first + timedelta(weeks=i) for i in range((last - first).days // 7 + 1)]


def week_figures(parts: Iterable[WeekPart], *, first: date, last: date) -> list[WeekFigures]:
    """The weeks from ``first`` to ``last``, both Mondays, oldest first; a quiet week is a line of 0.

    Args:
        parts: In any order, several of a week and of a member allowed; others' weeks are left out.
        first: Monday of the first week.
        last: Monday of the last week.
    """
    by_week: dict[date, list[WeekPart]] = {monday: [] for monday in mondays(first, last)}
    for part in parts:
        if part.week in by_week:
            by_week[part.week].append(part)
    return [_figures(week, found) for week, found in by_week.items()]


def _figures(week: date, parts: list[WeekPart]) -> WeekFigures:
    times = sum((part.times for part in parts), EMPTY)
    return WeekFigures(
        week=week,
        n_members=len({part.member for part in parts}),
        n=sum(part.n for part in parts),
        n_timed=times.n,
        low_ms=times.quantile(0.1) if times.n else None,
        median_ms=times.quantile(0.5) if times.n else None,
        high_ms=times.quantile(0.9) if times.n else None,
    )


SUM_FIELDS = (
    *("n", "n_looked", "n_one_look", "n_timed"),
    *("recognition_log_sum", "recognition_log_squares", "recognition_ms_sum"),
    *("execution_log_sum", "execution_log_squares", "execution_ms_sum"),
)
"""The sums of a `SightingSums`."""


LAST_LAYER = (
    *("oll_recognition_ms", "oll_execution_ms"),
    *("pll_recognition_ms", "pll_execution_ms"),
)
"""What a last layer's time is the sum of."""


_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


_MICROSECOND = timedelta(microseconds=1)


UNDATED = 1_000
"""Numbers of solves that one cell of solves without a date is for: it bounds what a change costs."""


class When(NamedTuple):
    """What solves are counted by: their week, or without a date the range of their numbers.

    Attributes:
        week: Its Monday; None for solves without a date.
        part: Their number by whole ``UNDATED``; 0 with a date.
    """

    week: date | None
    part: int


def when_of(at: datetime | None, solve_id: int) -> When:
    """The cell in time that a solve is counted in."""
    return When(None, solve_id // UNDATED) if at is None else When(week_of(at), 0)


class CaseKey(NamedTuple):
    """A case as it is counted: in solves or in drills."""

    kind: str
    stage: str
    case: str


class Look(NamedTuple):
    """One sighting in which a look was made.

    Attributes:
        solve_id: The solve it was met in.
        at_us: When, in microseconds since 1970; None without a date.
        is_hit: Whether one look did it.
        first: What its first look may have been mistaken for.
    """

    solve_id: int
    at_us: int | None
    is_hit: bool
    first: FirstLook


@dataclass(slots=True)
class CaseWeek:
    """The sightings of one case in one week or part, in the order of time.

    Attributes:
        n: How many there are.
        recognition_ms: Recognition of those that went in one look with both times above 0.
        execution_ms: Their execution.
        looks: Those in which a look was made.
        last_met_at: When the case last came up; None where no solve has a date.
    """

    n: int = 0
    recognition_ms: list[int] = field(default_factory=list)
    execution_ms: list[int] = field(default_factory=list)
    looks: list[Look] = field(default_factory=list)
    last_met_at: datetime | None = None

    def add(self, row: Mapping[str, Any]) -> None:
        """Count a sighting, a row as `count_sightings` takes it."""
        recognition_ms, execution_ms = row["alike_recognition_ms"], row["alike_execution_ms"]
        self.n += 1
        self.last_met_at = row["solve__done_at"]
        if row["n_looks"]:
            self.looks.append(read_look(row))
        if row["is_one_look"] and recognition_ms and execution_ms:
            self.recognition_ms.append(recognition_ms)
            self.execution_ms.append(execution_ms)

    def values(self) -> dict[str, Any]:
        """The fields of a `CaseWeekTally`."""
        values: dict[str, Any] = {
            "n": self.n,
            "n_looked": len(self.looks),
            "n_one_look": sum(look.is_hit for look in self.looks),
            "n_timed": len(self.recognition_ms),
            "looks": as_text(look.is_hit for look in self.looks),
            "looked_at_us": [look.at_us for look in self.looks],
            "slips": [
                [place, *look.first.mistake, look.first.if_known]
                for place, look in enumerate(self.looks)
                if look.first.mistake is not None
            ],
            "last_met_at": self.last_met_at,
        }
        parts = {"recognition": self.recognition_ms, "execution": self.execution_ms}
        for part, times_ms in parts.items():
            logs = [log(time_ms) for time_ms in times_ms]
            values[f"{part}_log_sum"] = fsum(logs)
            values[f"{part}_log_squares"] = fsum(value**2 for value in logs)
            values[f"{part}_ms_sum"] = sum(times_ms)
            values[part] = sketch_of(times_ms).to_bytes()
        return values


def count_sightings(
    rows: Iterable[Mapping[str, Any]],
) -> dict[tuple[CaseKey, When], CaseWeek]:
    """A member's sightings by case and week or part. Skips are counted too.

    Args:
        rows: Of `Sighting` in the order of time, with the kind and the date of the solve; ``told``
            are its looks, or None where the case went in one look; ``alike_..._ms`` its times, None
            where they may not be compared.
    """
    cells: dict[tuple[CaseKey, When], CaseWeek] = {}
    for row in rows:
        key = CaseKey(row["solve__kind"], row["stage"], row["case"])
        when = when_of(row["solve__done_at"], row["solve_id"])
        cells.setdefault((key, when), CaseWeek()).add(row)
    return cells


def case_total(weeks: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """The fields of a `CaseTally`: what its weeks come to together.

    Args:
        weeks: Values of `CaseWeekTally` of one case, the undated first, then by week.
    """
    values: dict[str, Any] = {}
    for name in SUM_FIELDS:
        add = fsum if "_log_" in name else sum
        values[name] = add(week[name] for week in weeks)
    values["recent"] = "".join(week["looks"] for week in weeks)[-RECENT:]
    met_at = [week["last_met_at"] for week in weeks if week["last_met_at"] is not None]
    values["last_met_at"] = max(met_at, default=None)
    return values


def case_mistakes(weeks: Sequence[Mapping[str, Any]]) -> Counter[Mistake]:
    """How often each mistake was made where one case was shown; ``weeks`` as for `case_total`.

    What looks like a mistake, and counts as none, has a 0: `mistakes.step_algorithms` asks for it.
    """
    hits = "".join(week["looks"] for week in weeks)
    looked_at_us = [at_us for week in weeks for at_us in week["looked_at_us"]]
    counts: Counter[Mistake] = Counter()
    start = 0
    for week in weeks:
        for place, done_stage, done, misfire_kind, if_known in week["slips"]:
            mistake = Mistake(done_stage, done, misfire_kind)
            first = FirstLook(mistake, if_known)
            counts[mistake] += int(_counts(first, hits, looked_at_us, start + place))
        start += len(week["looks"])
    return counts


def mistaken_looks(looks: Sequence[Look]) -> Iterator[tuple[Look, Mistake]]:
    """The looks at one case that count as mistakes, each with its mistake.

    A case is known where one of the ``RECENT`` looks before did it, within a year.

    Args:
        looks: All of them, in the order of time.
    """
    hits = as_text(look.is_hit for look in looks)
    looked_at_us = [look.at_us for look in looks]
    for place, look in enumerate(looks):
        mistake = look.first.mistake
        if mistake is not None and _counts(look.first, hits, looked_at_us, place):
            yield look, mistake


def _counts(first: FirstLook, hits: str, looked_at_us: Sequence[int | None], place: int) -> bool:
    """Whether what the look at ``place`` may have been counts as a mistake, by the looks before it."""
    if not first.if_known:
        return True
    before = range(max(0, place - RECENT), place)
    one_looks_us = [looked_at_us[n] for n in before if hits[n] == HIT]
    return is_known(one_looks_us, looked_at_us[place])


def as_text(hits: Iterable[bool]) -> str:
    """Looks as `logs.solves.figures.standing` reads them."""
    return "".join(HIT if hit else MISS for hit in hits)


def read_look(row: Mapping[str, Any]) -> Look:
    """The look at a sighting, a row as `count_sightings` takes it."""
    looks, at = row["told"], row["solve__done_at"]
    first = read_first_look(looks[0]) if looks else FirstLook(None)
    at_us = None if at is None else (at - _EPOCH) // _MICROSECOND
    return Look(row["solve_id"], at_us, row["is_one_look"], first)


def count_weeks(
    solves: Iterable[Mapping[str, Any]],
) -> dict[tuple[str, When], dict[str, Any]]:
    """The fields of each `WeekTally`, by kind and week or part.

    The last layer of a solve counts where the solve does (no DNF) and both of its stages are timed.

    Args:
        solves: Rows with ``id``, ``kind``, ``done_at``, ``status`` and ``LAST_LAYER``, in any order.
    """
    n: Counter[tuple[str, When]] = Counter()
    times_ms: dict[tuple[str, When], list[int]] = {}
    for row in solves:
        key = (row["kind"] or Kind.SOLVE.value, when_of(row["done_at"], row["id"]))
        n[key] += 1
        counted = times_ms.setdefault(key, [])
        parts = [row[name] for name in LAST_LAYER]
        if row["status"] != Status.DNF and None not in parts and sum(parts):
            counted.append(sum(parts))
    return {
        key: {
            "n": n[key],
            "n_timed": len(counted),
            "last_layer_ms_sum": sum(counted),
            "last_layer": sketch_of(counted).to_bytes(),
        }
        for key, counted in times_ms.items()
    }
