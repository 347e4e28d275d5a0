"""What a homework's page may say of before and since, and what it never says."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from cubecore.cases import CASES, CaseId, Stage
from logs.homework.report.effect import EffectReport, RateEffect, TimeEffect, effect_report
from logs.homework.words import control, rate_effect, time_effect
from logs.stats import Range
from logs.stats.grid import LIKELY
from tests.logs.stats.build import sightings
from tests.logs.stats.worked import OLL_CHANCES

CASE = CASES[CaseId(Stage.OLL, 27)]
SET_AT = datetime(2026, 3, 1, tzinfo=UTC)
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
    return effect_report(frame, CASE, set_at=SET_AT, until=None, asked=asked)


def others(factor):
    """Five two-look cases of about 3.9 s, by `factor` of that afterwards."""
    rng = np.random.default_rng(5)
    found = []
    for case in OTHERS:
        times = 3900 * np.exp(rng.normal(0, 0.15, 12))
        found += rows(case, times[:8], after=False)
        found += rows(case, factor * times[8:], after=True)
    return found


BEFORE = rows("27", (4310, 3880, 4750, 4020, 5100, 4460), after=False)  # W4c of `worked`
SINCE = rows("27", (3050, 3620, 2910, 3970, 3200), after=True, is_one_look=True)


def test_the_worked_change_is_told_with_its_range_and_counts():
    """W4c without a prior on the change: ratio .781; its rates 0 of 6 and 5 of 5 as they may be."""
    report = line(BEFORE, SINCE, others(1.0))
    assert report.time is not None
    assert report.time.ratio == pytest.approx(0.781, abs=0.04)
    assert report.time.p_faster >= LIKELY
    assert report.time.p_tenth_faster < report.time.p_faster
    assert report.time.ratio_range.low < report.time.ratio < report.time.ratio_range.high < 1
    assert (report.time.n_before, report.time.n_since, report.time.n_control) == (6, 5, 5)
    assert report.time.n_more_solves is None
    rate = report.rate
    assert rate is not None
    assert (rate.n_hits_before, rate.n_before, rate.n_hits_since, rate.n_since) == (0, 6, 5, 5)
    assert (len(report.before), len(report.since)) == (6, 5)
    assert time_effect(report).startswith("Very likely faster: ")
    assert "6 times before, 5 times since" in time_effect(report)
    assert (
        rate_effect(rate)
        == "In one look 0 of 6 times before, 5 of 5 times since: very likely more often now."
    )
    assert control(report.time).startswith("Net of 5 other cases done the same way, which took")


def test_a_look_that_was_not_one_is_never_called_more_often():
    """Of one sighting since nothing is known, so that its chance to be larger is high: not said."""
    rate = RateEffect(n_before=7, n_hits_before=0, n_since=1, n_hits_since=0, p_larger=0.75)
    assert rate_effect(rate) == "In one look 0 of 7 times before, 0 of 1 time since."


def test_what_the_other_cases_gained_too_is_no_effect_of_homework():
    report = line(BEFORE, SINCE, others(0.75))
    assert report.time is not None
    assert report.time.p_faster < LIKELY
    assert report.time.control_ratio < 0.9
    assert "less time meanwhile" in control(report.time)


def test_what_homework_asks_for_controls_nothing():
    report = line(BEFORE, SINCE, others(0.75), asked=("27", *OTHERS))
    assert report.time is not None
    assert report.time.n_control == 0
    assert (
        control(report.time)
        == "No other case was timed on both sides, done the same way, so nothing is taken off."
    )


def test_too_few_times_say_how_many_more_it_takes():
    report = line(BEFORE, rows("27", (4300,), after=True), others(1.0))
    assert report.time is not None
    assert report.time.n_more_solves is not None
    words = time_effect(report)
    assert words.startswith("Cannot tell yet: so far ")
    assert words.endswith("more solves would show a quarter less.")
    assert "no progress" not in words.lower()


@pytest.mark.parametrize(
    ("groups", "words"),
    [
        ([SINCE], "No timed solve before it was set: there is nothing to compare with."),
        ([BEFORE], "No timed solve since: cannot tell yet, about 54 solves bring one."),
        ([], "No timed solve before it was set: there is nothing to compare with."),
    ],
)
def test_one_side_alone_is_no_comparison(groups, words):
    """54 solves on average bring a case of 4/216 once (W4a)."""
    assert 1 / OLL_CHANCES["27"] == 54
    report = line(*groups)
    assert (report.time, report.once_in) == (None, 54)
    assert time_effect(report) == words


def test_solves_after_it_was_closed_and_undated_ones_stay_out():
    frame = sightings(*BEFORE[::-1], *SINCE, {**SINCE[0], "done_at": None})
    closed = SET_AT + timedelta(hours=2)
    report = effect_report(frame, CASE, set_at=SET_AT, until=closed, asked=())
    assert (len(report.before), len(report.since)) == (6, 2)


@pytest.mark.parametrize(
    ("low", "ratio", "high", "p_faster", "n_more", "words"),
    [
        (
            0.67,
            0.74,
            0.82,
            0.99,
            None,
            "Very likely faster: 26% less time (likely 18 to 33% less; ",
        ),
        (
            0.80,
            0.93,
            1.04,
            0.8,
            None,
            "Likely faster: 7% less time (likely from 4% more to 20% less; ",
        ),
        (1.02, 1.10, 1.20, 0.03, None, "slower so far: 10% more time (likely 2 to 20% more; "),
        (0.88, 0.99, 1.10, 0.55, 9, "so far from 10% more to 12% less time (5 times before"),
        (0.88, 0.99, 1.10, 0.55, None, "Nothing found so far: from 10% more to 12% less time"),
    ],
)
def test_a_range_says_once_what_its_ends_share(low, ratio, high, p_faster, n_more, words):
    """1 less the ratio, in per cent, worked by hand; the order is from the least gain to the most."""
    span = Range(low=low, high=high, level=0.8)
    time = TimeEffect(ratio, span, p_faster, 1 - p_faster, 0.0, 5, 6, n_more, 1.0, 0)
    assert words in time_effect(EffectReport(time, None, 54, (), ()))
