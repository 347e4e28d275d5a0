from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from logs.next_up.order import VALUE_COLUMNS, Candidate, next_up

# Worked example W3b: k of 216, Beta of the one-look rate, two-look time (sd), one-look time (sd),
# hours -> gap (sd), value (sd), value for effort.
W3B = {
    "A": ((4, 0.5, 6.5, 4.30, 0.20, 2.303, 0.064, 1.0), (1.997, 0.210, 34.4, 5.0, 34.4)),
    "B": ((4, 0.5, 4.5, 3.60, 0.18, 2.009, 0.060, 0.8), (1.591, 0.190, 26.5, 4.8, 33.1)),
    "E": ((4, 0.5, 8.5, 4.00, 0.15, 2.878, 0.088, 1.2), (1.122, 0.174, 19.6, 3.4, 16.4)),
    "C": ((2, 0.5, 3.5, 5.10, 0.35, 3.109, 0.107, 1.4), (1.991, 0.366, 16.1, 4.1, 11.5)),
    "D": ((4, 3.5, 3.5, 4.10, 0.22, 2.395, 0.074, 1.0), (1.705, 0.232, 15.8, 6.0, 15.8)),
    "F": ((1, 0.5, 2.5, 4.90, 0.45, 2.487, 0.080, 1.1), (2.413, 0.457, 9.3, 2.8, 8.5)),
}


def candidate(case: str) -> Candidate:
    k, a, b, two_look, sd, one_look, one_look_sd, hours = W3B[case][0]
    return Candidate(
        case=case,
        chance=k / 216,
        alpha=a,
        beta=b,
        two_look_ms=1000 * two_look,
        two_look_sd_ms=1000 * sd,
        one_look_ms=1000 * one_look,
        one_look_sd_ms=1000 * one_look_sd,
        effort_h=hours,
    )


W3B_CANDIDATES = [candidate(case) for case in W3B]


def rng() -> np.random.Generator:
    return np.random.default_rng(20_260)


@pytest.mark.parametrize("case", list(W3B))
def test_w3b_values(case):
    table = next_up(W3B_CANDIDATES, rng=rng())
    gap, gap_sd, value, value_sd, for_effort = W3B[case][1]
    row = table.loc[case]
    assert row["gap_ms"] == pytest.approx(1000 * gap, abs=1)
    assert candidate(case).gap_sd_ms == pytest.approx(1000 * gap_sd, abs=1.5)
    assert row["value_ms"] == pytest.approx(value, abs=0.1)
    assert row["value_per_effort"] == pytest.approx(for_effort, abs=0.1)
    half = 1.2816 * value_sd  # of a normal; the product of two is a little askew
    assert row["low_ms"] == pytest.approx(value - half, abs=0.25 * value_sd)
    assert row["high_ms"] == pytest.approx(value + half, abs=0.25 * value_sd)


def test_w3b_a_and_b_are_a_tie_for_effort():
    table = next_up(W3B_CANDIDATES, rng=rng())
    assert list(table.index) == ["A", "B", "E", "D", "C", "F"]
    assert table["tie_group"].to_list()[:3] == [1, 1, 2]


def test_w3b_a_leads_by_value_and_by_effort_as_often_as_told():
    """Draws of the model typed anew: A first in 87 % by value, in 56 % by value for effort."""
    draws, efforts = [], []
    random = np.random.default_rng(5)
    for case in W3B:
        one = candidate(case)
        gap = random.normal(one.gap_ms, one.gap_sd_ms, 200_000)
        draws.append(one.chance * (1 - random.beta(one.alpha, one.beta, 200_000)) * gap)
        efforts.append(one.effort_h)
    values = np.array(draws)
    assert (values.argmax(axis=0) == 0).mean() == pytest.approx(0.87, abs=0.01)
    per_effort = values / np.array(efforts)[:, None]
    assert (per_effort.argmax(axis=0) == 0).mean() == pytest.approx(0.56, abs=0.01)


@pytest.mark.parametrize("learnt_rate", [1.0, 0.85, 0.3])
def test_values_and_ranges_equal_draws(learnt_rate):
    """The model typed anew: what is learnt goes in one look so often, and no less than now."""
    random = np.random.default_rng(6)
    one = replace(candidate("D"), learnt_rate=learnt_rate)
    won = np.maximum(learnt_rate - random.beta(one.alpha, one.beta, 1_000_000), 0)
    drawn = one.chance * won * random.normal(one.gap_ms, one.gap_sd_ms, 1_000_000)
    row = next_up([one], rng=rng()).loc["D"]
    assert row["value_ms"] == pytest.approx(drawn.mean(), rel=0.01)
    for end, share in (("low_ms", 0.1), ("high_ms", 0.9)):
        assert row[end] == pytest.approx(np.quantile(drawn, share), abs=0.05 * drawn.std() + 0.1)


def test_ranges_that_do_not_touch_are_no_tie():
    """What is shown apart is told apart, whatever the draws make of it."""
    table = next_up(W3B_CANDIDATES, rng=rng())
    for group, tied in table.groupby("tie_group"):
        hours = tied["effort_h"]
        low, high = tied["low_ms"] / hours, tied["high_ms"] / hours
        assert high.min() >= low.iloc[0], group


def test_order_in_and_the_same_seed_change_no_figure():
    plain = next_up(W3B_CANDIDATES, rng=rng())
    turned = next_up(W3B_CANDIDATES[::-1], rng=rng())
    assert plain.equals(turned)


def test_values_add_up_to_what_one_look_everywhere_would_save():
    """The stage's expected seconds now less those with every case in one look, counted apart."""
    values = next_up(W3B_CANDIDATES, rng=rng())["value_ms"].sum()
    now = learnt = 0.0
    for one in W3B_CANDIDATES:
        rate = one.alpha / (one.alpha + one.beta)
        now += one.chance * (rate * one.one_look_ms + (1 - rate) * one.two_look_ms)
        learnt += one.chance * one.one_look_ms
    assert values == pytest.approx(now - learnt, rel=1e-12)


def test_a_case_that_one_look_would_slow_down_has_a_value_below_zero():
    slow = Candidate("S", 4 / 216, 0.5, 0.5, 2000.0, 100.0, 2500.0, 100.0)
    row = next_up([slow], rng=rng()).loc["S"]
    assert row["value_ms"] < 0
    assert row["p_gain"] < 0.01


def test_times_times_ten_are_values_times_ten():
    table = next_up(W3B_CANDIDATES, rng=rng())
    scaled = [
        replace(
            one,
            two_look_ms=10 * one.two_look_ms,
            two_look_sd_ms=10 * one.two_look_sd_ms,
            one_look_ms=10 * one.one_look_ms,
            one_look_sd_ms=10 * one.one_look_sd_ms,
        )
        for one in W3B_CANDIDATES
    ]
    times_ten = next_up(scaled, rng=rng())
    assert list(times_ten.index) == list(table.index)
    assert times_ten["value_ms"].to_numpy() == pytest.approx(10 * table["value_ms"].to_numpy())
    for same in ("p_gain", "tie_group"):
        assert times_ten[same].to_numpy() == pytest.approx(table[same].to_numpy(), abs=1e-3)


def test_dumb_cases():
    assert list(next_up([], rng=rng()).columns) == list(VALUE_COLUMNS)
    one = next_up(W3B_CANDIDATES[:1], rng=rng())
    assert one.loc["A", "tie_group"] == 1
    with pytest.raises(ValueError, match="name a case twice"):
        next_up([W3B_CANDIDATES[0]] * 2, rng=rng())
    with pytest.raises(ValueError, match="effort_h of case 'x' is 0"):
        Candidate("x", 0.1, 1, 1, 1.0, 1.0, 1.0, 1.0, effort_h=0)


def test_a_tie_group_ends_where_a_case_falls_short_of_its_first():
    """Three gains a step apart: P(one step) = .60 is no order, P(two steps) = .69 is (normal tables)."""
    step = norm.ppf(0.60) * np.sqrt(2) * 100
    three = [
        Candidate(case, 1.0, 1e-9, 1e6, 5000.0 - place * step, 100.0, 0.0, 0.0)
        for place, case in enumerate("XYZ")
    ]
    table = next_up(three, rng=rng())
    assert list(table["tie_group"]) == [1, 1, 2]
