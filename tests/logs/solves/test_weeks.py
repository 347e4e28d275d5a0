"""Weeks against the standard library's ISO calendar, and their figures against numpy."""

from datetime import UTC, date, datetime, timedelta, timezone

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logs.solves.figures.counts import WeekFigures, WeekPart, week_figures, week_of
from logs.stats.sketch import ALPHA, sketch_of

MONDAY = date(2026, 3, 2)
WEEK = timedelta(weeks=1)


@given(st.datetimes(datetime(1990, 1, 1), datetime(2100, 1, 1)))  # noqa: DTZ001 - made aware below
def test_a_week_is_that_of_iso_8601(moment):
    at = moment.replace(tzinfo=UTC)
    year, week, _ = at.isocalendar()
    assert week_of(at) == date.fromisocalendar(year, week, 1)


def test_the_zone_a_moment_is_told_in_changes_no_week():
    late = datetime(2026, 3, 8, 23, 30, tzinfo=UTC)
    east = late.astimezone(timezone(timedelta(hours=9)))
    assert east.date() == MONDAY + WEEK
    assert week_of(late) == week_of(east) == MONDAY


def test_parts_of_a_week_come_together_and_a_quiet_week_is_a_line():
    first, other = [9_000, 11_000, 14_500], [30_000, 8_000]
    parts = [
        WeekPart(MONDAY, 4, sketch_of(first), member=1),
        WeekPart(MONDAY, 2, sketch_of(other), member=2),
        WeekPart(MONDAY, 1, sketch_of([]), member=1),
        WeekPart(MONDAY - WEEK, 9, sketch_of([1]), member=3),
    ]
    shown, quiet = week_figures(parts, first=MONDAY, last=MONDAY + WEEK)
    assert (shown.n_members, shown.n, shown.n_timed) == (2, 7, 5)
    exact = np.quantile([*first, *other], [0.1, 0.5, 0.9])
    assert (shown.low_ms, shown.median_ms, shown.high_ms) == pytest.approx(exact, rel=ALPHA)
    assert quiet == WeekFigures(MONDAY + WEEK, 0, 0, 0, None, None, None)
