"""The worked examples that pages show are those of `tests.logs.stats.worked`."""

from typing import Any

import pytest

from logs.how import teaching as how_teaching
from logs.stats.grid import Likelihood, likelihood


def test_w4a_and_the_weeks_of_its_member():
    """90 in 100 stand in the table; half of the time: ln .5 / ln(212/216) is 37.1, by hand."""
    example: Any = how_teaching.due_date_example()
    assert (example["n_solves"], example["n_surer"], example["per_week"]) == (38, 124, 90)
    assert round(example["n_weeks"], 1) == 0.4


def test_w4b_and_what_the_whole_check_errs():
    example: Any = how_teaching.homework_check_example()
    assert (example["straight"], example["is_verified_with_miss"], example["again"]) == (3, True, 5)
    assert example["mean"] == pytest.approx(4.55, abs=0.005)  # by the exact chances of Wald's test
    assert example["false_share"] <= 0.05


def test_w4c_before_and_since():
    """24 % less by the plain means; told honestly 22 %, or 19 % with usual changes in mind."""
    example: Any = how_teaching.before_after_example()
    assert round(example["raw_less_share"], 2) == 0.24
    low, middle, high = (example[name] for name in ("low_share", "less_share", "high_share"))
    assert low < 0.19 <= round(middle, 2) <= 0.22 < high
    assert likelihood(example["p_faster"]) is Likelihood.LIKELY
    assert example["for_quarter"] == 8


def test_w5a_curve():
    example: Any = how_teaching.curve_example()
    assert example["n"] == 24
    assert [round(example[name], 2) for name in ("best_share", "second_share")] == [0.45, 0.37]


def test_w5f_spread():
    """The median and the 90th percentile of W5f by hand: between 667 and 682; 2.1 of 23 steps from
    the top, between 988 and 1,104 (linear between order statistics)."""
    example: Any = how_teaching.spread_example()
    assert example["median_ms"] == pytest.approx((667 + 682) / 2)
    assert example["slow_ms"] == pytest.approx(988 + 0.7 * (1104 - 988))


def test_w6b_mistaken():
    example: Any = how_teaching.mistaken_example()
    # By its own counts alone 3 of 18 is 17 % (8 to 30); held against 800 pairs it is less.
    assert 0.05 < example["rate_share"] < 0.17
    assert 0.03 < example["low_share"] < 0.08
    assert 0.17 < example["high_share"] < 0.30
    assert round(example["cost_ms"]) == 14
    words = [likelihood(example[name]) for name in ("p_of_few", "p_of_many")]
    assert words == [Likelihood.ABOUT_AS_LIKELY_AS_NOT, Likelihood.VERY_LIKELY]


def test_w3b_next_up():
    example: Any = how_teaching.next_up_example()
    seconds = [round(example[name], 1) for name in ("first_s", "second_s", "third_s")]
    assert seconds == [3.4, 2.7, 1.6]
    assert example["is_tie"]


def test_w7a_shapes():
    """W7a's own residuals, by median polish, are 19 and 11 %; drawn towards nothing they are less."""
    example: Any = how_teaching.shapes_example()
    assert 0.05 < example["ash_slow_share"] < 0.19
    assert 0.03 < example["elm_quick_share"] < 0.11


def test_effort_falls_by_a_fifth_and_by_two_fifths():
    example: Any = how_teaching.effort_example()
    hours = [example[name] for name in ("plain_h", "trigger_h", "mirror_h")]
    assert hours == pytest.approx([0.9, 0.72, 0.54])


def test_review_comes_at_the_pace_of_chance():
    """216 / (4 * 60 / 7) days; gaps beyond 14 of them: exp(-14 / 6.3) (exponential gaps)."""
    example: Any = how_teaching.review_example()
    assert example["gap_days"] == pytest.approx(6.3)
    assert round(example["late_share"], 2) == 0.11
