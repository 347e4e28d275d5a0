"""How much a member turns: by day and by week, with the prompts that follow from it."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

import pandas as pd

from clubsite.accounts.models import User
from logs.people.sight import Sight
from logs.progress.figures.load import (
    WEEKS_COMPARED,
    daily_load,
    is_break_due,
    minutes_since_break,
    week_prompt,
    weekly_load,
)
from logs.solves.selectors.frames import attempt_frame

DAYS_SHOWN: Final = 7


WEEKS_READ: Final = 12
"""So far back somebody's first week may lie for the weeks since to be compared, quiet ones too."""


BREAK_SHOWN_FOR: Final = timedelta(hours=1)
"""A break is spoken of while the session may still go on."""


@dataclass(frozen=True, slots=True)
class LoadLine:
    """What was turned in a day or a week.

    Attributes:
        start: The day, or the Monday of the week (ISO 8601), in the club's time zone.
        n: Solves and drills.
        n_turns: Turns, counted where a solution was logged.
        active_min: Minutes of turning.
    """

    start: date
    n: int
    n_turns: int
    active_min: float


@dataclass(frozen=True, slots=True)
class WeekRise:
    """This week is far longer than usual.

    Attributes:
        active_min: Minutes of turning this week so far.
        usual_min: Those of a usual week: the median of the four weeks before.
    """

    active_min: float
    usual_min: float


@dataclass(frozen=True, slots=True)
class LoadReport:
    """The load of this week and the four before.

    Attributes:
        weeks: The newest first.
        days: The last seven days in which something was turned, the newest first.
        rise: How much longer this week is than usual; null unless far longer.
        since_break_min: Minutes of turning on end, when a break is due now; else null.
    """

    weeks: tuple[LoadLine, ...]
    days: tuple[LoadLine, ...]
    rise: WeekRise | None
    since_break_min: float | None


def load_report(*, actor: User, member: Sight, now: datetime) -> LoadReport:
    """The practice load of a member.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    today = now.astimezone(member.zone).date()
    monday = today - timedelta(days=today.weekday(), weeks=WEEKS_READ)
    since = datetime.combine(monday, datetime.min.time(), member.zone)
    attempts = attempt_frame(actor=actor, member=member, since=since)
    attempts = attempts[attempts["done_at"] <= now]
    daily = daily_load(attempts, zone=member.zone)
    weekly = weekly_load(daily, until=today)
    week = week_prompt(weekly)
    since_break = minutes_since_break(attempts)
    is_going_on = len(attempts) > 0 and now - attempts["done_at"].iloc[-1] <= BREAK_SHOWN_FOR
    week_ago = today - timedelta(days=DAYS_SHOWN - 1)
    return LoadReport(
        weeks=_lines(weekly.tail(1 + WEEKS_COMPARED)),
        days=_lines(daily[[day >= week_ago for day in daily.index]]),
        rise=None
        if week is None or not week.is_shown
        else WeekRise(week.minutes, week.usual_minutes),
        since_break_min=since_break if is_going_on and is_break_due(since_break) else None,
    )


def _lines(load: pd.DataFrame) -> tuple[LoadLine, ...]:
    lines = [
        LoadLine(day, int(n), int(n_turns), float(minutes))
        for day, n, n_turns, minutes in load.itertuples(name=None)
    ]
    return tuple(reversed(lines))
