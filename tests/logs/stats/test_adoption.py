import numpy as np
import pytest
from scipy.stats import beta

from logs.stats.rates import (
    ALPHA,
    DEFAULT_TEST,
    RESTARTED_ALPHA,
    RESTARTED_TEST,
    AdoptionState,
    SequentialTest,
    adoption,
    error_rates,
    fewest_more,
    rate_before,
    runs_against,
)


def state(hits: str, **changes):
    return adoption([hit == "1" for hit in hits], **changes)


def test_w4b_evidence():
    """Worked example W4b; Wald 1945."""
    assert DEFAULT_TEST.hit == pytest.approx(1.0415, abs=1e-4)
    assert DEFAULT_TEST.miss == pytest.approx(-1.5404, abs=1e-4)
    assert DEFAULT_TEST.accept_at == pytest.approx(2.8904, abs=1e-4)
    assert DEFAULT_TEST.reject_at == pytest.approx(-2.2513, abs=1e-4)


@pytest.mark.parametrize("hits", ["111", "110111", "101111", "10110111", "11010111"])
def test_w4b_verified(hits):
    assert state(hits).state is AdoptionState.VERIFIED
    assert state(hits).n == len(hits)
    assert state(hits[:-1]).state is AdoptionState.OPEN


@pytest.mark.parametrize("hits", ["00", "1000", "0100", "10100", "01100"])
def test_w4b_not_yet(hits):
    assert state(hits).state is AdoptionState.NOT_YET
    assert state(hits[:-1]).state is AdoptionState.OPEN


def test_w4b_error_rates():
    assert error_rates(0.30).verified == pytest.approx(0.037, abs=0.001)
    assert error_rates(0.85).not_yet == pytest.approx(0.046, abs=0.001)
    assert error_rates(0.95).not_yet == pytest.approx(0.003, abs=0.001)
    assert error_rates(0.85).mean_length == pytest.approx(4.55, abs=0.01)


def test_all_runs_together_verify_what_is_not_learnt_within_five_in_a_hundred():
    """Our own bound: false accepts at most 5 %; three equal runs gave 10.8 %."""
    assert error_rates(0.30, runs=[DEFAULT_TEST] * 3).verified_in_all == pytest.approx(
        0.108, abs=0.001
    )
    assert error_rates(0.30).verified_in_all == pytest.approx(0.0497, abs=0.0001)
    looser = SequentialTest(alpha=RESTARTED_ALPHA + 0.01)
    assert error_rates(0.30, runs=[DEFAULT_TEST, looser, looser]).verified_in_all > ALPHA


@pytest.mark.parametrize("rate", [0.85, 0.95])
def test_what_the_stricter_runs_cost_those_who_learnt(rate):
    """Hardly any are lost; a restarted run takes about two to three sightings longer."""
    equal = error_rates(rate, runs=[DEFAULT_TEST] * 3)
    assert equal.verified_in_all - error_rates(rate).verified_in_all < 1e-4
    longer = error_rates(rate, runs=[RESTARTED_TEST]).mean_length - equal.mean_length
    assert 2 < longer < 2.7


def test_hits_that_are_still_wanted_are_those_of_the_run():
    wanted = [fewest_more(state(hits)) for hits in ("", "11", "111", "00", "0011", "000000")]
    assert wanted == [3, 1, 0, 5, 3, 3]
    for hits in ("", "11", "00", "0011"):
        n = fewest_more(state(hits))
        assert state(hits + "1" * n).state is AdoptionState.VERIFIED
        assert state(hits + "1" * (n - 1)).state is AdoptionState.OPEN or n == 5


@pytest.mark.parametrize("rate", [0.30, 0.60, 0.85])
def test_error_rates_are_those_of_simulated_members(rate):
    random = np.random.default_rng(9)
    ends = [adoption(random.random(300) < rate) for _ in range(2000)]
    share = np.mean([end.state is AdoptionState.VERIFIED for end in ends])
    assert share == pytest.approx(error_rates(rate).verified_in_all, abs=0.03)


def test_it_begins_anew_twice_and_then_asks_the_coach():
    assert state("00").n_restarts == 1
    assert state("0000").n_restarts == 2
    assert state("00001").state is AdoptionState.OPEN
    assert state("000000").state is AdoptionState.ASK_COACH
    assert state("000000111").state is AdoptionState.ASK_COACH
    assert state("0000111").state is AdoptionState.OPEN
    assert state("000011111").state is AdoptionState.VERIFIED
    assert state("00", runs=[DEFAULT_TEST]).state is AdoptionState.ASK_COACH


def test_verified_stays_verified():
    assert state("11100000").state is AdoptionState.VERIFIED
    assert state("11100000").n == 3
    assert state("11100000").n_hits == 3


def test_no_sighting_is_open():
    assert state("") == adoption([])
    assert state("").state is AdoptionState.OPEN
    assert state("").evidence == 0


def test_bad_input_is_named():
    with pytest.raises(ValueError, match=r"rates are 0\.9 and 0\.5"):
        SequentialTest(not_learnt=0.9, learnt=0.5)
    with pytest.raises(ValueError, match="alpha and beta are 0 and"):
        SequentialTest(alpha=0)
    with pytest.raises(ValueError, match="rate is 2"):
        error_rates(2)


def test_the_rate_before_is_what_it_may_well_have_been():
    """Upper end of 60 % of a Beta(1/2, 1/2) brought up to date, by scipy's distribution."""
    assert rate_before(0, 0) == 0.30
    assert rate_before(0, 10) == 0.30
    assert rate_before(4, 10) == pytest.approx(beta(4.5, 6.5).ppf(0.8))
    assert rate_before(10, 10) == 0.70


@pytest.mark.parametrize("null", [0.30, 0.40, 0.50, 0.60, 0.70])
def test_a_raised_bar_keeps_the_error_of_all_runs(null):
    """Exact, by the distribution of the counts: at most 5 %, and who learnt is verified."""
    runs = runs_against(null)
    assert error_rates(null, runs=runs).verified_in_all <= ALPHA
    assert error_rates(0.95, runs=runs).verified_in_all >= 0.99


@pytest.mark.parametrize(
    ("null", "learnt"), [(0.31, 0.85), (0.54, 0.85), (0.61, 0.87), (0.70, 0.90)]
)
def test_a_third_of_the_misses_before_is_a_gain_and_never_less_than_learnt(null, learnt):
    """By hand: 1 - (1 - .70) / 3 = .90, 1 - (1 - .61) / 3 = .87; below .55 the usual .85."""
    assert [run.learnt for run in runs_against(null)] == pytest.approx([learnt] * 3)
