"""How much a member practises, in turns and active minutes; prompts, never a score or a streak.

Not medical advice: no threshold is proven. Sudden increases matter, not only totals (Robitaille
et al. 2018, string students); ratio models are disputed (Impellizzeri et al. 2020).
"""

from dataclasses import dataclass
from datetime import date, timedelta, tzinfo
from typing import Final

import numpy as np
import pandas as pd

RISE = 1.5


WEEKS_COMPARED = 4


BREAK_AFTER_MINUTES = 45.0


BREAK_MINUTES = 5.0
"""Breaks of 5 to 10 minutes an hour beat 20 every two hours (UK HSE, display screen FAQ)."""


LOAD_COLUMNS: Final = ("n_solves", "n_turns", "active_minutes")


def daily_load(attempts: pd.DataFrame, *, zone: tzinfo) -> pd.DataFrame:
    """Load by day of the club's zone; days without an attempt have no row.

    Args:
        attempts: ``done_at`` datetime64 UTC, NaT where unknown; ``active_ms`` float64, also of
            DNFs, NaN where unknown; ``n_turns`` int64. Solves and drills, any order. Attempts
            without a day are left out: see `n_undated`.
        zone: The club's time zone.

    Returns:
        ``LOAD_COLUMNS`` indexed by ``datetime.date``, oldest first.
    """
    dated = attempts.dropna(subset=["done_at"])
    days = pd.Index(dated["done_at"].dt.tz_convert(zone).dt.date, name="day")
    return _summed(dated, days)


def weekly_load(daily: pd.DataFrame, *, until: date) -> pd.DataFrame:
    """Load by week from the first day's week to that of ``until``; quiet weeks are rows of 0.

    Args:
        daily: As from `daily_load`.
        until: A day of the last week wanted; what lies after its week is left out.

    Returns:
        ``LOAD_COLUMNS`` indexed by the week's Monday (ISO 8601), oldest first; no row where
        nothing was done by then.
    """
    mondays = pd.Index([day - timedelta(days=day.weekday()) for day in daily.index], name="week")
    weekly = daily.groupby(mondays).sum()
    last = until - timedelta(days=until.weekday())
    weekly = weekly[[monday <= last for monday in weekly.index]]
    if weekly.empty:
        return weekly
    first = weekly.index[0]
    weeks = [first + timedelta(weeks=i) for i in range((last - first).days // 7 + 1)]
    filled = weekly.reindex(pd.Index(weeks, name="week"), fill_value=0)
    return filled.astype({"n_solves": "int64", "n_turns": "int64", "active_minutes": "float64"})


def _summed(attempts: pd.DataFrame, keys: "pd.Index[date]") -> pd.DataFrame:
    frame = pd.DataFrame(
        {
            "n_solves": 1,
            "n_turns": attempts["n_turns"].to_numpy(),
            "active_minutes": attempts["active_ms"].fillna(0.0).to_numpy() / 60_000,
        },
        index=keys,
        columns=list(LOAD_COLUMNS),
    )
    summed = frame.groupby(level=0).sum()
    return summed.astype({"n_solves": "int64", "n_turns": "int64", "active_minutes": "float64"})


@dataclass(frozen=True, slots=True)
class WeekPrompt:
    """This week against the four before.

    Attributes:
        minutes: Active minutes of this week so far.
        usual_minutes: Median of the four weeks before.
        is_shown: This week is more than one and a half times as long.
    """

    minutes: float
    usual_minutes: float
    is_shown: bool


def week_prompt(weekly: pd.DataFrame) -> WeekPrompt | None:
    """The prompt for the last week of ``weekly``, or None without four weeks before it.

    With a usual week of nothing there is nothing to compare with, and it is not shown.

    Args:
        weekly: As from `weekly_load`.
    """
    if len(weekly) <= WEEKS_COMPARED:
        return None
    minutes = float(weekly["active_minutes"].iloc[-1])
    usual = float(weekly["active_minutes"].iloc[-1 - WEEKS_COMPARED : -1].median())
    return WeekPrompt(minutes, usual, 0 < usual * RISE < minutes)


def minutes_since_break(attempts: pd.DataFrame) -> float:
    """Active minutes since the last pause of five minutes or more, up to the latest attempt.

    Args:
        attempts: As for `daily_load`; ``done_at`` is the end of an attempt.
    """
    dated = attempts.dropna(subset=["done_at", "active_ms"]).sort_values("done_at")
    if dated.empty:
        return 0.0
    since_ms = dated["done_at"].diff().dt.total_seconds() * 1000 - dated["active_ms"]
    breaks = np.flatnonzero(since_ms.to_numpy() >= BREAK_MINUTES * 60_000)
    first = int(breaks[-1]) if breaks.size else 0
    return float(dated["active_ms"].iloc[first:].sum()) / 60_000


def is_break_due(minutes: float) -> bool:
    """Whether the break prompt is shown after so many `minutes_since_break`: from 45 on."""
    return minutes >= BREAK_AFTER_MINUTES
