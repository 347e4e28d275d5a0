"""Progress in words: what pages say of the data of its reports."""

from datetime import date

import pandas as pd
import pytest

from cubecore.cases import Stage
from logs.cases.report import CaseName
from logs.progress import words
from logs.progress.report.case import NamedMisfire
from logs.progress.report.case_times import Meetings, spread_of, trend_of
from logs.progress.report.progress import CoverageReport, TypicalTime
from logs.progress.report.time import MarkKind, RecentSolves, SolveResult, TimeMarkLine
from logs.solves.figures.mistakes import MistakeKind
from logs.stats import Range
from logs.stats.curves import TrendState
from logs.stats.rates import rate
from logs.stats.transfer import transfer
from tests.logs.stats.worked import W5A_TIMES_MS

SUNE = CaseName(Stage.OLL, "27", "OLL 27 Sune")
DAY = date(2026, 3, 1)

# W4d of `tests.logs.stats.worked`: ratio 1.385 (last digit ±1; 1.3845 by scipy, so 1.38 here), Welch 90 % 1.29 to 1.49.
DRILLS = pd.Series([2100, 1950, 2300, 2050, 1880, 2200, 2020, 1970], dtype=float)
SOLVES = pd.Series([2750, 3100, 2600, 2950, 2850], dtype=float)


def test_w4d_in_words():
    assert words.gap_words(transfer(DRILLS, SOLVES)) == (
        "In solves it takes 1.38 times as long as in drills, from 8 drills and 5 solves in one"
        " look; 90 times in 100 such a range, 1.29 to 1.49, holds the truth."
    )


def test_too_few_drills_are_called_too_few_and_none_says_nothing():
    assert words.gap_words(transfer(DRILLS[:1], SOLVES)) == (
        "Too few yet to say how drills and solves differ: from 1 drill and 5 solves in one look."
    )
    assert words.gap_words(transfer(DRILLS, SOLVES[:0])) == ""


def test_w5b_is_still_improving_and_its_last_eight_cannot_tell():
    """W5b of `tests.logs.stats.worked`: -16.3 to -1.7 % in ten sightings; -15.3 to +10.9 %."""
    verdict = words.trend_words(trend_of(W5A_TIMES_MS))
    assert verdict.startswith("Very likely it is still getting faster.")
    assert "16% faster to 2% faster" in verdict
    verdict = words.trend_words(trend_of(W5A_TIMES_MS[-8:]))
    assert verdict.startswith("Cannot tell yet")
    assert "15% faster to 11% slower" in verdict


@pytest.mark.parametrize("n", [0, 1, 7])
def test_too_few_times_say_how_many_more(n):
    assert words.trend_words(trend_of([2000.0] * n)).startswith(
        f"Cannot tell yet whether it gets faster: about {8 - n} more timed"
    )


def test_level_is_said_only_where_it_is_shown():
    level = trend_of([2000.0 + (-1) ** k for k in range(12)])
    assert words.trend_words(level).startswith("It stays level: any change is within 3% in ")


def test_the_slow_tail_is_told_from_forty_times_on():
    times = pd.Series([float(500 + 20 * (k % 13) + 300 * (k % 11 == 0)) for k in range(40)])
    assert "had to think" in words.spread_words(spread_of(times))
    assert "had to think" not in words.spread_words(spread_of(times[:39]))
    assert words.spread_words(spread_of(times[:2])) == ""


def test_a_misfire_names_the_case_or_the_hold():
    assert words.misfire_words(NamedMisfire(MistakeKind.OTHER_CASE, SUNE)) == (
        "the algorithm of OLL 27 Sune"
    )
    assert words.misfire_words(NamedMisfire(MistakeKind.WRONG_HOLD, SUNE)) == (
        "the right algorithm from a wrong hold"
    )


@pytest.mark.parametrize(
    ("n_hits", "n", "pct"), [(0, 5, 0), (5, 5, 100), (489, 490, 99), (1, 490, 1), (1, 3, 33)]
)
def test_a_hundred_per_cent_means_all_and_nought_means_none(n_hits: int, n: int, pct: int):
    assert words.rate_pct(rate(n_hits, n)) == pct


def test_a_result_is_its_time_a_dnf_or_a_dash():
    assert words.result_time(SolveResult(12_340.0, 1)) == "12.34"
    assert words.result_time(SolveResult(None, 1)) == "DNF"
    assert words.result_time(None) == "\N{EN DASH}"
    assert words.recent_median(RecentSolves(5, 3, None, None, 9)) == "DNF"
    assert words.recent_median(RecentSolves(5, 0, 9_876.0, None, 9)) == "9.88 s"


def test_a_typical_time_has_the_digits_its_range_leaves_it():
    """JCGM 100:2008, 7.2.6: two digits of the half-width."""
    span = Range(low=2627.0, high=5000.0, level=0.8)
    unknown, known = (TypicalTime(3670.0, span, is_known) for is_known in (False, True))
    assert (words.typical_words(unknown), words.typical_range(unknown)) == (
        "not known yet",
        "2.6 to 5.0",
    )
    assert words.typical_words(known) == "3.7"
    assert (words.typical_words(None), words.typical_range(None)) == ("\N{EN DASH}", "")


def test_marks_say_what_they_are_about():
    own = TimeMarkLine(DAY, MarkKind.OWN, word="new cube")
    new = TimeMarkLine(DAY, MarkKind.NEW_ALGORITHM, (SUNE,), algorithm="R U")
    assert [words.mark_words(mark) for mark in (own, new)] == ["new cube", "OLL 27 Sune: R U"]
    assert words.mark_beside_trend(own) == "own mark: new cube, 1 Mar 2026"
    assert words.mark_beside_trend(new) == "new algorithm, 1 Mar 2026"
    assert words.mark_on_axis(new) == "1 Mar 2026: first time with R U"


def test_changes_carry_their_signs():
    assert (
        words.signed_range(Range(low=-0.163, high=0.017, level=0.9)) == "\N{MINUS SIGN}16% to +2%"
    )
    assert words.TRENDS[TrendState.PLATEAU] == "plateau: the same within 3%"


def test_parts_of_coverage_add_up_to_a_hundred():
    span = Range(low=0.2, high=0.4, level=0.8)
    parts = words.coverage_parts(CoverageReport(1 / 3, span, 1 / 3, 1 / 3, 9, 3))
    assert parts["covered_pct"] + parts["not_covered_pct"] + parts["never_met_pct"] == 100
    assert (parts["covered_width"], parts["bar_end"]) == (67, 133)


def test_chance_brings_a_case_back():
    meetings = Meetings(DAY, 60.0, 6.3, 30, 0.0085)
    assert words.meetings_words(meetings) == (
        "Last met on 1 Mar 2026. At 60 solves a week chance brings it about every 6 days; 1 gaps in"
        " 100 are longer than 30 days. Each time it comes is a review."
    )
    assert words.meetings_words(None) == ""


def test_chances_and_costs_are_said_in_round_numbers():
    """By hand: 1 / .15 = 6.67; 12.3 ms in each of 100 solves are 1.23 s."""
    assert [words.once_in(chance) for chance in (0.15, 4 / 216)] == [7, 54]
    assert words.per_hundred(12.3) == "1.23"
