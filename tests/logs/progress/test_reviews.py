import numpy as np
import pytest

from logs.progress.figures.reviews import (
    Review,
    grade,
    interval_days,
    next_meeting,
    probability_gap_over,
    retention,
    reviewed,
)


def test_w5c_five_good_reviews():
    """Worked example W5c; SM-2 as published (Wozniak 1990)."""
    review, days = Review(), []
    for _ in range(5):
        review = reviewed(review, 4)
        days.append(review.interval_days)
    assert days == [1, 6, 15, 38, 95]
    assert review.ease == pytest.approx(2.5)


@pytest.mark.parametrize(("mark", "change"), [(3, -0.14), (4, 0.0), (5, 0.10)])
def test_w5c_ease_moves_by_the_grade(mark, change):
    assert reviewed(Review(), mark).ease == pytest.approx(2.5 + change)


def test_w5c_a_failed_review_starts_again_and_keeps_the_ease():
    review = reviewed(Review(4, 2.1, 38), 2)
    assert review == Review(0, 2.1, 1)
    assert reviewed(reviewed(review, 4), 4).interval_days == 6


def test_w5c_ease_has_a_floor():
    assert reviewed(Review(2, 1.3, 6), 3).ease == 1.3


@pytest.mark.parametrize(
    ("days", "expected"), [(1, 0.9728), (5, 0.9000), (10, 0.8459), (14.4, 0.8132), (30, 0.7427)]
)
def test_w5d_forgetting_curve(days, expected):
    """Worked example W5d; FSRS version 6, published default w = 0.1542."""
    assert retention(days, stability_days=5) == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize(("wanted", "days"), [(0.9, 10.0), (0.85, 19.1), (0.8, 33.2)])
def test_w5d_intervals(wanted, days):
    assert interval_days(wanted, stability_days=10) == pytest.approx(days, abs=0.1)
    back = retention(interval_days(wanted, stability_days=10), stability_days=10)
    assert back == pytest.approx(wanted)


def test_w5e_a_common_case_of_a_busy_member_comes_by_itself():
    """Worked example W5e; exponential gaps."""
    found = next_meeting(chance=4 / 216, solves_a_day=25, stability_days=10)
    assert found is not None
    assert found.mean_gap_days == pytest.approx(2.2, abs=0.1)
    assert found.mean_retention == pytest.approx(0.973, abs=0.001)
    assert not found.is_drill_due


def test_w5e_a_rare_case_of_a_quiet_member_does_not():
    found = next_meeting(chance=1 / 216, solves_a_day=10, stability_days=10)
    assert found is not None
    assert found.mean_gap_days == pytest.approx(21.6)
    assert probability_gap_over(10, found.mean_gap_days) == pytest.approx(0.63, abs=0.005)
    assert found.mean_retention == pytest.approx(0.867, abs=0.001)
    assert found.is_drill_due


def test_mean_retention_is_that_of_drawn_gaps():
    random = np.random.default_rng(1)
    gaps = random.exponential(21.6, 400_000)
    drawn = np.mean([retention(gap, stability_days=10) for gap in gaps[:40_000]])
    found = next_meeting(chance=1 / 216, solves_a_day=10, stability_days=10)
    assert found is not None
    assert found.mean_retention == pytest.approx(drawn, abs=0.003)


@pytest.mark.parametrize(
    ("one_look", "recognition", "hesitations", "mark"),
    [
        (False, 500, 0, 1),
        (True, 500, 0, 5),
        (True, 900, 0, 4),
        (True, 900, 1, 3),
        (True, 2000, 0, 3),
    ],
)
def test_one_look_alone_is_no_top_grade(one_look, recognition, hesitations, mark):
    """Our own scale: no source."""
    found = grade(
        is_one_look=one_look,
        recognition_ms=recognition,
        low_ms=600,
        high_ms=1500,
        n_hesitations=hesitations,
    )
    assert found == mark


def test_who_does_not_solve_meets_nothing():
    assert next_meeting(chance=4 / 216, solves_a_day=0, stability_days=10) is None


def test_bad_input_is_named():
    with pytest.raises(ValueError, match="grade is 6"):
        reviewed(Review(), 6)
    with pytest.raises(ValueError, match="days -1"):
        retention(-1, stability_days=5)
    with pytest.raises(ValueError, match="wanted is 0"):
        interval_days(0, stability_days=5)
