"""Weeks as tables show them, made of tallies."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from logs.analytics.sketch import ALPHA, read_sketch
from logs.analytics.weeks import WeekFigures, WeekPart, week_figures, week_of
from logs.reports.words import average, band, day_words
from logs.selectors.tallies import week_tally_list

if TYPE_CHECKING:
    from clubsite.accounts.models import User
    from logs.models import Club, WeekTally

WEEKS_SHOWN = 12
ERROR_PCT = round(100 * ALPHA)
"""So many parts in a hundred a median or percentile of weeks may be off."""


@dataclass(frozen=True, slots=True)
class WeekLine:
    """One week of the club; a dash stands for figures of no times."""

    begins: str
    n_members: int
    n_solves: int
    n_timed: int
    median: str
    band: str


def last_layer_parts(tallies: "Iterable[WeekTally]") -> list[WeekPart]:
    """Solves and their last layers, for `logs.analytics.weeks.week_figures`."""
    return [
        WeekPart(tally.week, tally.n, read_sketch(bytes(tally.last_layer)), tally.member_id)
        for tally in tallies
        if tally.week is not None
    ]


def club_weeks(*, actor: "User", club: "Club", now: datetime) -> tuple[WeekLine, ...]:
    """The last ``WEEKS_SHOWN`` weeks of the members that ``actor`` may read, the newest first.

    None where nobody did anything in them.
    """
    last = week_of(now)
    first = last - timedelta(weeks=WEEKS_SHOWN - 1)
    tallies = week_tally_list(actor=actor, club=club, first=first, last=last)
    if not tallies:
        return ()
    figures = week_figures(last_layer_parts(tallies), first=first, last=last)
    return tuple(_line(week) for week in reversed(figures))


def _line(week: WeekFigures) -> WeekLine:
    return WeekLine(
        begins=day_words(week.week),
        n_members=week.n_members,
        n_solves=week.n,
        n_timed=week.n_timed,
        median=average(week.median_ms),
        band=band(week.low_ms, week.high_ms),
    )
