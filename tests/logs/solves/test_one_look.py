import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import betaln, gammaln

from logs.solves.figures.standing import JEFFREYS, RatePrior, one_look_rates, rate_prior
from tests.logs.stats.worked import counts

# Worked example W2a: (hits, sightings) -> posterior mean and 80 % band. Beta-binomial, Gelman et
# al., BDA3 5.3.
W2A = {
    (9, 10): (0.872, 0.737, 0.975),
    (0, 6): (0.061, 0.000, 0.175),
    (4, 5): (0.762, 0.528, 0.949),
    (1, 5): (0.245, 0.055, 0.481),
    (2, 2): (0.864, 0.603, 0.999),
    (0, 1): (0.232, 0.003, 0.642),
    (5, 5): (0.934, 0.809, 1.000),
    (0, 8): (0.047, 0.000, 0.135),
    (1, 1): (0.789, 0.393, 0.999),
    (3, 4): (0.712, 0.441, 0.935),
}
W2A_COUNTS = counts({f"{x}/{n}": (x, n) for x, n in W2A})


def negative_log_likelihood(prior):
    """Typed from the formula, with gamma functions."""
    return -sum(
        gammaln(n + 1)
        - gammaln(x + 1)
        - gammaln(n - x + 1)
        + betaln(prior.alpha + x, prior.beta + n - x)
        - betaln(prior.alpha, prior.beta)
        for x, n in W2A
    )


def test_w2a_prior():
    prior = rate_prior(W2A_COUNTS)
    assert prior.alpha == pytest.approx(0.417, abs=0.001)
    assert prior.beta == pytest.approx(0.380, abs=0.001)
    assert negative_log_likelihood(prior) == pytest.approx(15.019, abs=0.001)


def test_no_prior_nearby_is_likelier():
    prior = rate_prior(W2A_COUNTS)
    for step in (0.99, 1.01):
        for other in (
            RatePrior(prior.alpha * step, prior.beta),
            RatePrior(prior.alpha, prior.beta * step),
        ):
            assert negative_log_likelihood(other) > negative_log_likelihood(prior)


@pytest.mark.parametrize("cell", list(W2A), ids=str)
def test_w2a_rates(cell):
    rates = one_look_rates(W2A_COUNTS, prior=rate_prior(W2A_COUNTS))
    row = rates.loc[f"{cell[0]}/{cell[1]}"]
    assert [row["rate"], row["low"], row["high"]] == pytest.approx(W2A[cell], abs=0.001)


def test_fewer_than_eight_cases_met_take_the_plain_prior():
    few = counts({str(i): (1, 2) for i in range(7)} | {"x": (0, 0), "y": (0, 0)})
    assert rate_prior(few) == JEFFREYS
    assert rate_prior(counts({str(i): (1, 2) for i in range(8)})) != JEFFREYS


@given(st.permutations(list(W2A)))
@settings(deadline=None, max_examples=20)
def test_the_order_of_cases_changes_no_prior(cells):
    shuffled = counts({f"{x}/{n}": (x, n) for x, n in cells})
    assert rate_prior(shuffled) == rate_prior(W2A_COUNTS)


@given(st.floats(0.05, 50), st.floats(0.05, 50), st.integers(0, 200), st.integers(0, 200))
@settings(deadline=None, max_examples=100)
def test_one_more_hit_never_lowers_the_rate(alpha, beta, n_hits, n_misses):
    n = n_hits + n_misses
    rates = one_look_rates(
        counts({"before": (n_hits, n), "after": (n_hits + 1, n + 1)}),
        prior=RatePrior(alpha, beta),
    )["rate"]
    assert rates["after"] >= rates["before"]


@pytest.mark.parametrize("hits", [0, 3], ids=["none", "all"])
def test_rates_all_alike_stay_numbers(hits):
    same = counts({str(i): (hits, 3) for i in range(10)})
    rates = one_look_rates(same, prior=rate_prior(same))
    assert np.isfinite(rates[["rate", "sd", "low", "high"]].to_numpy()).all()
    assert (abs(rates["rate"] - hits / 3) < 0.05).all()


def test_no_case_no_row():
    none = counts({})
    assert rate_prior(none) == JEFFREYS
    assert one_look_rates(none, prior=JEFFREYS).empty


def test_more_hits_than_sightings_are_refused():
    wrong = pd.DataFrame({"n_hits": [2], "n": [1]})
    with pytest.raises(ValueError, match="n_hits must lie between 0 and n"):
        one_look_rates(wrong, prior=JEFFREYS)


@pytest.mark.parametrize(("cell", "ends"), [((20, 40), (50, 50)), ((40, 40), (50, 0.05))])
def test_a_prior_stays_within_its_bounds(cell, ends):
    """Counts all alike send a parameter to one of its ends: our own rule, .05 and 50."""
    prior = rate_prior(counts({str(case): cell for case in range(12)}))
    assert (prior.alpha, prior.beta) == pytest.approx(ends, rel=0.01)
