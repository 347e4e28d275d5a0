"""The look ahead before homework is set: solves it takes, a member's pace, the date that would do."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil

from logs.analytics.due_dates import WEEKS_READ, weekly_pace

WEEK = timedelta(days=7)


def weekly_counts(
    done_at: Sequence[datetime], *, since: datetime | None, now: datetime
) -> list[int]:
    """Solves of each of the last weeks, oldest first, quiet ones as 0.

    Weeks are runs of seven days that end ``now``: eight of them, or as many as the log is old.

    Args:
        done_at: When solves were done, in any order; others than of these weeks are left out.
        since: When the member's first solve was done; None without one.
        now: Aware.
    """
    if since is None or since >= now:
        return []
    n_weeks = min(WEEKS_READ, ceil((now - since) / WEEK))
    counts = [0] * n_weeks
    for at in done_at:
        weeks_ago = (now - at) // WEEK
        if at <= now and weeks_ago < n_weeks:
            counts[n_weeks - 1 - weeks_ago] += 1
    return counts


@dataclass(frozen=True, slots=True)
class Forecast:
    """What chance has to say on a due date for one member.

    Attributes:
        n_solves: Solves that it takes.
        pace: Solves a week to reckon with: the lower quartile of the last weeks.
        n_weeks: Weeks behind the pace.
        first_fair_on: The first date that would do; None when the pace is 0.
        is_fair: Whether the date is no sooner; no date at all is fair.
    """

    n_solves: int
    pace: float
    n_weeks: int
    first_fair_on: date | None
    is_fair: bool


def forecast(n_solves: int, *, counts: Sequence[int], today: date, due_on: date | None) -> Forecast:
    """The look at a date for one member, as `due_dates.due_date` has it.

    Args:
        n_solves: Solves needed, the same for every member (`due_dates.solves_needed`).
        counts: As from `weekly_counts`.
        today: In the club's zone.
        due_on: The date; a past one is never fair. None for no date.
    """
    pace = weekly_pace(counts)
    first = None
    if pace:
        days = ceil(n_solves * 7 / pace)
        while _solves_in(days - 1, pace) >= n_solves:  # where the quotient was rounded up
            days -= 1
        first = today + timedelta(days=days)
    is_fair = due_on is None or (first is not None and due_on >= first)
    return Forecast(n_solves, pace, len(counts), first, is_fair)


def _solves_in(days: int, pace: float) -> int:
    return int(pace * days / 7)
