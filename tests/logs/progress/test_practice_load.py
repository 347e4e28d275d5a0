from datetime import date
from zoneinfo import ZoneInfo

import pandas as pd
import pytest

from logs.progress.figures.load import (
    LOAD_COLUMNS,
    daily_load,
    is_break_due,
    minutes_since_break,
    week_prompt,
    weekly_load,
)

ZONE = ZoneInfo("Europe/Berlin")


def attempts(*rows: tuple[str | None, float, int]) -> pd.DataFrame:
    """(end of the attempt, active seconds, turns)."""
    return pd.DataFrame(
        {
            "done_at": pd.to_datetime(pd.Series([row[0] for row in rows], dtype="str"), utc=True),
            "active_ms": pd.Series([row[1] * 1000 for row in rows], dtype="float64"),
            "n_turns": pd.Series([row[2] for row in rows], dtype="int64"),
        }
    )


def weeks(*minutes: float) -> pd.DataFrame:
    return pd.DataFrame({"n_solves": 1, "n_turns": 1, "active_minutes": list(minutes)})


def test_a_late_solve_belongs_to_the_clubs_day():
    frame = attempts(
        ("2026-03-01T23:30:00Z", 60, 55), ("2026-03-02T10:00:00Z", 30, 45), (None, 30, 50)
    )
    daily = daily_load(frame, zone=ZONE)
    assert list(daily.index) == [date(2026, 3, 2)]
    assert daily.iloc[0].to_dict() == {"n_solves": 2, "n_turns": 100, "active_minutes": 1.5}


def test_quiet_weeks_are_weeks():
    frame = attempts(("2026-03-04T10:00:00Z", 60, 50), ("2026-03-18T10:00:00Z", 120, 60))
    weekly = weekly_load(daily_load(frame, zone=ZONE), until=date(2026, 3, 29))
    assert list(weekly.index) == [date(2026, 3, day) for day in (2, 9, 16, 23)]
    assert list(weekly["active_minutes"]) == [1.0, 0.0, 2.0, 0.0]
    earlier = weekly_load(daily_load(frame, zone=ZONE), until=date(2026, 3, 8))
    assert list(earlier["n_turns"]) == [50]


def test_turns_and_minutes_add_up_over_days_and_weeks():
    frame = attempts(*[(f"2026-03-{day:02}T12:00:00Z", day, 10 * day) for day in range(1, 29)])
    daily = daily_load(frame, zone=ZONE)
    weekly = weekly_load(daily, until=date(2026, 4, 30))
    for column in LOAD_COLUMNS:
        assert daily[column].sum() == pytest.approx(weekly[column].sum())
    assert daily["n_turns"].sum() == 10 * sum(range(1, 29))


def test_a_week_of_more_than_one_and_a_half_times_the_usual_is_told():
    told = week_prompt(weeks(100, 60, 80, 400, 136))
    assert told is not None
    assert told.usual_minutes == 90
    assert told.is_shown
    same = week_prompt(weeks(100, 60, 80, 400, 135))
    assert same is not None
    assert not same.is_shown


def test_the_usual_is_that_of_the_last_four_weeks():
    told = week_prompt(weeks(900, 900, 10, 10, 10, 10, 20))
    assert told is not None
    assert told.usual_minutes == 10


def test_without_four_weeks_or_a_usual_there_is_no_prompt():
    assert week_prompt(weeks(10, 10, 10, 50)) is None
    none_before = week_prompt(weeks(0, 0, 0, 0, 50))
    assert none_before is not None
    assert not none_before.is_shown


def test_a_break_is_due_after_three_quarters_of_an_hour():
    ends = pd.date_range("2026-03-02T10:00:00Z", periods=90, freq="40s")
    frame = attempts(*[(end.isoformat(), 30, 50) for end in ends])
    assert minutes_since_break(frame) == pytest.approx(45)
    assert is_break_due(minutes_since_break(frame))
    assert is_break_due(minutes_since_break(frame[::-1]))
    assert not is_break_due(minutes_since_break(frame[:-1]))


def test_five_minutes_of_pause_begin_anew():
    frame = attempts(
        ("2026-03-02T10:00:00Z", 1200, 50),
        ("2026-03-02T10:05:20Z", 20, 50),
        ("2026-03-02T10:06:00Z", 10, 50),
    )
    assert minutes_since_break(frame) == pytest.approx(0.5)
    later = attempts(("2026-03-02T10:30:00Z", 30, 50), ("2026-03-02T10:31:00Z", 30, 50))
    assert minutes_since_break(pd.concat([frame, later])) == pytest.approx(1.0)
    nearly = attempts(("2026-03-02T10:00:00Z", 1200, 50), ("2026-03-02T10:05:19Z", 20, 50))
    assert minutes_since_break(nearly) == pytest.approx(1220 / 60)


def test_nothing_done_is_nothing_shown():
    frame = attempts()
    daily = daily_load(frame, zone=ZONE)
    assert list(daily.columns) == list(LOAD_COLUMNS)
    weekly = weekly_load(daily, until=date(2026, 3, 2))
    assert weekly.empty
    assert week_prompt(weekly) is None
    assert minutes_since_break(frame) == 0
    assert not is_break_due(minutes_since_break(frame))
