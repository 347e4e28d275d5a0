"""A case's weeks put together, held against numpy on the times themselves."""

from datetime import date, timedelta

import numpy as np
import pytest

from logs.club.figures import CaseWeekPart, case_figures, case_figures_by_week
from logs.stats.periods import FEW
from logs.stats.sketch import ALPHA, sketch_of

MONDAY = date(2026, 3, 2)
WEEK = timedelta(weeks=1)


def part(times_ms: list[int], *, week: date = MONDAY, member: int = 1, missed: int = 0):
    """Sightings in one look with these times, and ``missed`` ones in two."""
    n = len(times_ms) + missed
    executions = sketch_of(2 * ms for ms in times_ms)
    return CaseWeekPart(week, member, n + 1, n, len(times_ms), sketch_of(times_ms), executions)


def test_parts_come_together_as_the_times_themselves_would():
    first, other = [900, 1100, 1450], [3000, 800, 1250]
    found = case_figures([part(first), part(other, member=2, week=MONDAY + WEEK, missed=2)])
    assert (found.n_members, found.n, found.n_looked, found.n_one_look) == (2, 10, 8, 6)
    assert (found.n_timed, found.one_look_share) == (6, 0.75)
    exact = np.quantile([*first, *other], [0.1, 0.5, 0.9])
    for spread, factor in ((found.recognition, 1), (found.execution, 2)):
        assert spread is not None
        ends = (spread.low_ms, spread.median_ms, spread.high_ms)
        assert ends == pytest.approx(factor * exact, rel=ALPHA)


def test_of_fewer_than_five_nothing_but_counts_is_told():
    """Below five no eight in ten can be told: the rule of `logs.stats.periods`."""
    few = case_figures([part([1000] * (FEW - 1))])
    assert (few.one_look_share, few.recognition, few.execution) == (None, None, None)
    assert (few.n_looked, few.n_one_look, few.n_timed) == (4, 4, 4)
    missed = case_figures([part([1000] * (FEW - 1), missed=1)])
    assert missed.one_look_share == 0.8
    assert missed.recognition is None


def test_each_week_has_its_own_and_a_quiet_one_has_none():
    parts = [part([1000], week=MONDAY), part([2000], week=MONDAY - WEEK), part([1], week=MONDAY)]
    weeks = case_figures_by_week(parts, first=MONDAY, last=MONDAY + WEEK)
    assert [(week, one.n) for week, one in weeks.items()] == [(MONDAY, 4), (MONDAY + WEEK, 0)]
    assert weeks[MONDAY + WEEK] == case_figures([])
