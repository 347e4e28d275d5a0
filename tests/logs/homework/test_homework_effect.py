"""What a homework's page may say of before and since, and what it never says."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from cubecore.cases import CASES, CaseId, Stage
from logs.homework.report.effect import effect_line, time_words
from logs.stats.effect import Effect
from tests.logs.stats.build import sightings
from tests.logs.stats.worked import OLL_CHANCES

CASE = CASES[CaseId(Stage.OLL, 27)]
SET_AT = datetime(2026, 3, 1, tzinfo=UTC)
ZONE = ZoneInfo("UTC")
OTHERS = ["21", "22", "23", "24", "25"]


def rows(case, times, *, after, is_one_look=False):
    step = timedelta(hours=1 if after else -1)
    return [
        {
            "case": case,
            "done_at": SET_AT + step * (n + 1),
            "is_one_look": is_one_look,
            "n_looks": 1 if is_one_look else 2,
            "recognition_ms": 0.4 * ms,
            "execution_ms": 0.6 * ms,
        }
        for n, ms in enumerate(times)
    ]


def line(*groups, asked=("27",)):
    every = (row for group in groups for row in group)
    frame = sightings(*sorted(every, key=lambda row: row["done_at"]))
    return effect_line(frame, CASE, set_at=SET_AT, until=None, asked=asked, zone=ZONE)


def others(factor):
    """Five two-look cases of about 3.9 s, by `factor` of that afterwards."""
    rng = np.random.default_rng(5)
    found = []
    for case in OTHERS:
        times = 3900 * np.exp(rng.normal(0, 0.15, 12))
        found += rows(case, times[:8], after=False)
        found += rows(case, factor * times[8:], after=True)
    return found


BEFORE = rows("27", (4310, 3880, 4750, 4020, 5100, 4460), after=False)  # ANALYTICS.md, W4c
SINCE = rows("27", (3050, 3620, 2910, 3970, 3200), after=True, is_one_look=True)


def test_the_worked_change_is_said_with_its_word_range_and_counts():
    """W4c says ratio .810 (.70 to .94), P(faster) .966, with the spread known and no control."""
    said = line(BEFORE, SINCE, others(1.0))
    assert said.time.startswith("Very likely faster: ")
    assert "6 times before, 5 times since" in said.time
    assert (
        said.rate
        == "In one look 0 of 6 times before, 5 of 5 times since: very likely more often now."
    )
    assert said.control.startswith("Net of 5 other two-look cases, which took")
    assert (len(said.before), len(said.since)) == (6, 5)


def test_what_the_other_cases_gained_too_is_no_effect_of_homework():
    said = line(BEFORE, SINCE, others(0.75))
    assert not said.time.startswith("Very likely faster")
    assert "less time meanwhile" in said.control


def test_what_homework_asks_for_controls_nothing():
    said = line(BEFORE, SINCE, others(0.75), asked=("27", *OTHERS))
    assert (
        said.control == "No other two-look case was timed on both sides, so nothing is taken off."
    )


def test_too_few_times_say_how_many_more_it_takes():
    since = rows("27", (4300,), after=True)
    said = line(BEFORE, since, others(1.0)).time
    assert said.startswith("Cannot tell yet, about ")
    assert "more solves" in said
    assert "no progress" not in said.lower()


@pytest.mark.parametrize(
    ("groups", "said"),
    [
        ([SINCE], "No timed solve before it was set: there is nothing to compare with."),
        ([BEFORE], "No timed solve since: cannot tell yet, about 54 solves bring one."),
        ([], "No timed solve before it was set: there is nothing to compare with."),
    ],
)
def test_one_side_alone_is_no_comparison(groups, said):
    """54 solves on average bring a case of 4/216 once (W4a)."""
    assert 1 / OLL_CHANCES["27"] == 54
    assert line(*groups).time == said


def test_solves_after_it_was_closed_and_undated_ones_stay_out():
    frame = sightings(*BEFORE[::-1], *SINCE, {**SINCE[0], "done_at": None})
    closed = SET_AT + timedelta(hours=2)
    said = effect_line(frame, CASE, set_at=SET_AT, until=closed, asked=(), zone=ZONE)
    assert (len(said.before), len(said.since)) == (6, 2)
    assert isinstance(frame, pd.DataFrame)


@pytest.mark.parametrize(
    ("low", "ratio", "high", "p_faster", "said"),
    [
        (0.67, 0.74, 0.82, 0.99, "Very likely faster: 26% less time (likely 18 to 33% less; "),
        (0.80, 0.93, 1.04, 0.80, "Likely faster: 7% less time (likely from 4% more to 20% less; "),
        (1.02, 1.10, 1.20, 0.03, "slower so far: 10% more time (likely 2 to 20% more; "),
        (0.88, 0.99, 1.10, 0.55, "so far from 10% more to 12% less time (5 times before"),
    ],
)
def test_a_range_says_once_what_its_ends_share(low, ratio, high, p_faster, said):
    """1 less the ratio, in per cent, worked by hand; the order is from the least gain to the most."""
    found = Effect(5, 6, ratio, 4000.0, ratio, ratio, low, high, p_faster, 0.5)
    assert said in time_words(found, n_before=5, chance=1 / 54, sigma=0.2)
