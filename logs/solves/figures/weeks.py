"""Weeks of practice: which one a moment is in, and what was done in each, from tallies."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from logs.stats.sketch import EMPTY, Sketch


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
