from collections import Counter

import numpy as np
import pandas as pd
import pytest
from scipy.stats import ttest_ind

from logs.solves.figures.mistakes import (
    cell_findings,
    cell_prior,
    is_known,
    mix_up_cost,
    mix_up_cost_ms,
    mix_up_rates,
)
from logs.solves.figures.standing import RatePrior
from logs.stats.rates import probability_larger_rate

EVEN = RatePrior(0.5, 0.5)


def test_w6b_both_cells():
    """Worked example W6b; Beta(1/2, 1/2)."""
    rates = mix_up_rates(pd.Series([3, 0]), pd.Series([18, 20]), prior=EVEN)
    assert list(100 * rates["rate"]) == pytest.approx([17.3, 1.1], abs=0.1)
    assert list(100 * rates["low"]) == pytest.approx([8.1, 0], abs=0.1)
    assert list(100 * rates["high"]) == pytest.approx([30.2, 6.5], abs=0.1)
    assert list(rates["is_printed"]) == [True, False]


def test_w6b_the_lean_and_the_cost():
    assert probability_larger_rate((3, 18), (0, 20)) == pytest.approx(0.978, abs=0.001)
    cost = mix_up_cost_ms(chance=4 / 216, n_events=3, n=18, lost_ms=4200)
    assert cost == pytest.approx(14.3, abs=0.1)


def test_one_event_is_never_a_finding():
    assert not mix_up_rates(pd.Series([1]), pd.Series([1]), prior=EVEN)["is_printed"].any()


def test_the_prior_is_that_of_the_rates_themselves():
    """Counts drawn of a Beta(2, 30): its mean comes back, and what was drawn of zeros alone is small."""
    rng = np.random.default_rng(3)
    looks = rng.integers(10, 40, 4_000)
    hits = rng.binomial(looks, rng.beta(2, 30, looks.size))
    some = hits > 0
    found = cell_prior(hits[some], looks[some], looks=Counter(looks.tolist()))
    assert found.alpha / (found.alpha + found.beta) == pytest.approx(2 / 32, rel=0.05)
    assert found.alpha == pytest.approx(2, rel=0.25)
    rare = cell_prior([1], [10], looks={10: 5_000})
    assert rare.alpha / (rare.alpha + rare.beta) < 0.001
    assert cell_prior([], [], looks={}) == EVEN


def test_what_one_member_does_is_told_of_that_one():
    """13 of 32 by one of thirteen: theirs, never a pooled 4 %."""
    own = {("33", "45"): {4: (13, 32), 7: (1, 30)}, ("1", "2"): {7: (1, 30)}}
    of_all = {("33", "45"): (14, 350), ("1", "2"): (1, 340)}
    found = cell_findings(own, of_all, own_looks={32: 60, 30: 660}, looks_of_all={350: 60, 340: 60})
    said = found["33", "45"]
    assert said.is_finding
    assert (said.sure, said.n_events, said.n) == (frozenset({4}), 13, 32)
    assert 0.25 < said.low < said.rate < said.high < 0.55
    rest = found["1", "2"]
    assert (rest.is_finding, rest.n_events, rest.n) == (False, 1, 340)


def test_what_all_do_now_and_then_is_told_of_all():
    own = {("33", "45"): dict.fromkeys(range(12), (2, 15)), ("1", "2"): {1: (1, 15)}}
    of_all = {("33", "45"): (24, 180), ("1", "2"): (1, 180)}
    found = cell_findings(own, of_all, own_looks={15: 3_000}, looks_of_all={180: 250})
    assert found["33", "45"].is_finding
    assert (found["33", "45"].n_events, found["33", "45"].n) == (24, 180)
    assert not found["1", "2"].is_finding


def test_the_cost_has_the_doubt_of_the_rate_and_of_the_loss():
    """The mean is W6b's; the band is that of a rate times a Student's t, by another generator."""
    slipped = pd.Series([6000.0, 6400, 5900, np.nan])
    clean = pd.Series([1900.0, 2000, 1700, 2100, 1800])
    cost = mix_up_cost(slipped, clean, chance=4 / 216, n_events=3, n=18)
    assert cost is not None
    assert cost.n_timed == 3
    assert cost.mean_ms == pytest.approx(
        mix_up_cost_ms(chance=4 / 216, n_events=3, n=18, lost_ms=6100 - 1900)
    )
    random = np.random.RandomState(4)
    error = ttest_ind(slipped.dropna(), clean).statistic
    error = (6100 - 1900) / error
    draws = 4 / 216 * random.beta(3.5, 15.5, 200_000)
    draws *= 4200 + error * random.standard_t(6, 200_000)
    assert cost.low_ms == pytest.approx(np.quantile(draws, 0.1), rel=0.03)
    assert cost.high_ms == pytest.approx(np.quantile(draws, 0.9), rel=0.03)


def test_one_timed_mix_up_tells_no_cost():
    assert (
        mix_up_cost(pd.Series([6000.0]), pd.Series([1900.0, 2000]), chance=0.02, n_events=2, n=9)
        is None
    )


def test_the_doubt_of_a_loss_is_that_of_two_means():
    """A mistake made each time: the band is Student's, with the pooled error (by scipy)."""
    slipped, clean = pd.Series([6000.0, 6800]), pd.Series([1700.0, 2100])
    cost = mix_up_cost(slipped, clean, chance=1.0, n_events=10**7, n=10**7)
    expected = ttest_ind(slipped, clean).confidence_interval(0.80)
    assert cost is not None
    assert (cost.low_ms, cost.high_ms) == pytest.approx(tuple(expected), rel=0.01)


def test_what_only_one_did_is_told_of_that_one_or_not_at_all():
    """2 of 10 by one member are few for one of many cells, and are no habit of a club's either."""
    own = {("33", "45"): {4: (2, 10)}}
    told = cell_findings(own, {("33", "45"): (2, 10)}, own_looks={10: 3_000}, looks_of_all={10: 1})
    shared = cell_findings(
        {("33", "45"): {4: (1, 5), 7: (1, 5)}},
        {("33", "45"): (2, 10)},
        own_looks={5: 3_000},
        looks_of_all={10: 1},
    )
    assert [found["33", "45"].sure for found in (told, shared)] == [frozenset()] * 2
    assert [found["33", "45"].is_finding for found in (told, shared)] == [False, True]


@pytest.mark.parametrize(("later_us", "is_so"), [(0, True), (1, False)])
def test_a_case_stays_known_for_a_year_to_the_microsecond(later_us, is_so):
    year_us = 365 * 24 * 3600 * 10**6
    assert is_known([5], 5 + year_us + later_us) == is_so
    assert is_known([None], year_us)
    assert is_known([5], None)
    assert not is_known([], 5)


def test_one_timed_look_without_the_mistake_tells_no_cost():
    slipped, clean = pd.Series([6000.0, 6800]), pd.Series([1900.0])
    assert mix_up_cost(slipped, clean, chance=0.02, n_events=2, n=9) is None
