"""Periods, first uses and trends of cases: the dumb cases first, then a slow twin of plain loops."""

import random
from datetime import UTC, date, datetime, timedelta
from statistics import median
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from logs.progress.figures.cases import first_uses
from logs.stats.curves import TrendState, case_trends
from logs.stats.periods import period_unit, times_by_period
from tests.logs.stats.build import sightings, solves
from tests.logs.stats.worked import W5A_TIMES_MS

FIRST = datetime(2026, 3, 2, 12, tzinfo=UTC)  # a Monday


def met(day: int, *, one_look: bool = True, algorithm: str = "A", **more: object):
    return {
        "done_at": FIRST + timedelta(days=day),
        "solve_id": day,
        "is_one_look": one_look,
        "algorithm": algorithm,
        **more,
    }


def test_nothing_is_no_period_no_use_and_no_trend():
    assert times_by_period(solves(), zone=UTC).empty
    assert first_uses(sightings()) == []
    assert case_trends(sightings(), stage="oll") == []


def test_drills_dnfs_and_undated_solves_are_in_no_period():
    rows: list[dict[str, Any]] = [
        {"done_at": FIRST, "time_ms": 9000.0},
        {"done_at": FIRST, "kind": "drill"},
        {"done_at": FIRST, "time_ms": None, "status": "dnf"},
        {"done_at": None},
    ]
    table = times_by_period(solves(*rows), zone=UTC)
    assert table[["start", "n", "median_ms"]].to_numpy().tolist() == [[date(2026, 3, 2), 1, 9000]]


def test_a_day_begins_at_midnight_of_the_zone():
    late = datetime(2026, 3, 2, 23, 30, tzinfo=UTC)
    there = times_by_period(solves({"done_at": late}), zone=ZoneInfo("Asia/Tokyo"))
    assert list(there["start"]) == [date(2026, 3, 3)]


def test_a_long_log_goes_by_weeks_and_the_medians_are_those_of_plain_lists():
    rng = random.Random(4)
    rows: list[dict[str, Any]] = [
        {
            "done_at": FIRST + timedelta(days=rng.randrange(100)),
            "time_ms": float(rng.randrange(9000)),
        }
        for _ in range(300)
    ]
    assert period_unit(solves(*rows), zone=UTC) == "week"
    table = times_by_period(solves(*rows), zone=UTC)
    for row in table.to_dict("records"):
        end = row["start"] + timedelta(days=7)
        own = [r["time_ms"] for r in rows if row["start"] <= r["done_at"].date() < end]
        assert (row["n"], row["median_ms"]) == (len(own), median(own))
        assert (row["low_ms"] != row["low_ms"]) == (len(own) < 5)
    assert table["n"].sum() == 300
    assert period_unit(solves(*rows[:1]), zone=UTC) == "day"


def test_a_case_is_taken_up_at_the_first_of_three_in_a_row():
    hits = (False, True, False, True, True, True, True)
    (use,) = first_uses(sightings(*(met(day, one_look=hit) for day, hit in enumerate(hits))))
    assert (use.case, use.solve_id, use.is_first) == ("27", 3, True)


def test_once_in_one_look_is_no_mark_and_neither_is_what_was_always_known():
    assert first_uses(sightings(met(0, one_look=False), met(1), met(2, one_look=False))) == []
    assert first_uses(sightings(*(met(day) for day in range(5)))) == []


def test_another_algorithm_is_a_mark_from_its_first_use():
    rows = [met(day, algorithm="A" if day < 4 else "B") for day in range(8)]
    (use,) = first_uses(sightings(*rows))
    assert (use.algorithm, use.solve_id, use.is_first) == ("B", 4, False)


def test_w5b_is_the_trend_of_a_case():
    """Worked example W5b: the last 12 of 24 sightings, -16.3 to -1.7 % in ten: still improving."""
    rows = [
        met(day, recognition_ms=ms / 4, execution_ms=3 * ms / 4)
        for day, ms in enumerate(W5A_TIMES_MS)
    ]
    (found,) = case_trends(sightings(*rows), stage="oll")
    assert (found.case, found.trend.n, found.trend.state) == ("27", 12, TrendState.IMPROVING)
    assert round(100 * found.trend.low, 1) == -16.3
    assert round(100 * found.trend.high, 1) == -1.7
    assert found.since == FIRST + timedelta(days=12)


def test_two_look_and_untimed_sightings_judge_nothing():
    rows = [met(day, one_look=False) for day in range(20)]
    rows += [met(day, recognition_ms=None, execution_ms=None) for day in range(20)]
    assert case_trends(sightings(*rows), stage="oll") == []


@pytest.mark.parametrize(("days", "unit"), [(55, "day"), (56, "week")])
def test_a_log_of_more_than_eight_weeks_goes_by_weeks(days: int, unit: str):
    rows: list[dict[str, Any]] = [{"done_at": FIRST}, {"done_at": FIRST + timedelta(days=days)}]
    assert period_unit(solves(*rows), zone=UTC) == unit
