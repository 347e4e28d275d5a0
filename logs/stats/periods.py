"""Solve times over time: a median and a range for each day, or for each week of a longer log."""

from datetime import date, tzinfo
from enum import StrEnum
from typing import Final

import pandas as pd

DAYS_SHOWN_SINGLY = 56
"""A log that spans more days is shown by week."""


FEW = 5
"""Below so many solves a period shows no range: ten in a hundred of four are nobody's."""


PERIOD_COLUMNS: Final = ("start", "n", "median_ms", "low_ms", "high_ms")


class PeriodUnit(StrEnum):
    """What a period is."""

    DAY = "day"
    WEEK = "week"


def period_unit(solves: pd.DataFrame, *, zone: tzinfo) -> PeriodUnit:
    """Day or week, whichever `times_by_period` of the same solves goes by."""
    days = _days(_timed(solves), zone)
    is_long = len(days) > 0 and (days.max() - days.min()).days >= DAYS_SHOWN_SINGLY
    return PeriodUnit.WEEK if is_long else PeriodUnit.DAY


def times_by_period(solves: pd.DataFrame, *, zone: tzinfo) -> pd.DataFrame:
    """The times of each day or week in which something was solved.

    Args:
        solves: ``SOLVE_COLUMNS`` frame, any order. Drills, DNFs and undated solves are left out.
        zone: The member's time zone, which says when a day begins.

    Returns:
        ``PERIOD_COLUMNS``, oldest first: the day, or the Monday of the week (ISO 8601), as
        ``datetime.date``; the number of solves; median, 10th and 90th percentile in ms, the two
        NaN below ``FEW`` solves.
    """
    timed = _timed(solves)
    days = _days(timed, zone)
    if period_unit(solves, zone=zone) is PeriodUnit.WEEK:
        days = days - pd.to_timedelta(days.dt.day_of_week, unit="D")
    groups = timed["time_ms"].groupby(days.to_numpy())
    table = pd.DataFrame(
        {
            "n": groups.size(),
            "median_ms": groups.median(),
            "low_ms": groups.quantile(0.1),
            "high_ms": groups.quantile(0.9),
        }
    )
    table.loc[table["n"] < FEW, ["low_ms", "high_ms"]] = float("nan")
    starts: list[date] = [pd.Timestamp(day).date() for day in table.index]
    table.insert(0, "start", starts)
    return table[list(PERIOD_COLUMNS)].reset_index(drop=True)


def _timed(solves: pd.DataFrame) -> pd.DataFrame:
    return solves[
        (solves["kind"] != "drill") & solves["time_ms"].notna() & solves["done_at"].notna()
    ]


def _days(timed: pd.DataFrame, zone: tzinfo) -> "pd.Series[pd.Timestamp]":
    days: pd.Series[pd.Timestamp] = (
        timed["done_at"].dt.tz_convert(zone).dt.tz_localize(None).dt.normalize()
    )
    return days
