import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta, binom

from logs.stats import Range
from logs.stats.grid import LIKELY
from logs.stats.rates import (
    DIFFERENT,
    Rate,
    belief_in_difference,
    probability_larger_rate,
    probability_of_lean,
    rate,
)


# Newcombe 1998, Statistics in Medicine 17, table I, score method, 95 % (from memory).
@pytest.mark.parametrize(
    ("n_hits", "n", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_ranges_are_the_published_ones(n_hits, n, low, high):
    found = rate(n_hits, n, band=0.95)
    assert found.share == n_hits / n
    assert found.range.low == pytest.approx(low, abs=5e-5)
    assert found.range.high == pytest.approx(high, abs=5e-5)


def test_of_none_nothing_is_known():
    assert rate(0, 0) == Rate(0, 0, None, Range(low=0.0, high=1.0, level=0.8))


@given(st.integers(1, 400), st.data())
def test_a_range_holds_its_share_and_mirrors_for_the_misses(n, data):
    n_hits = data.draw(st.integers(0, n))
    found, missed = rate(n_hits, n), rate(n - n_hits, n)
    assert found.share is not None
    assert 0 <= found.range.low <= found.share <= found.range.high <= 1
    assert found.range.low == pytest.approx(1 - missed.range.high)


@pytest.mark.parametrize(("n_hits", "n"), [(3, 2), (-1, 2)])
def test_counts_that_do_not_fit_are_refused(n_hits, n):
    with pytest.raises(ValueError, match=f"n_hits is {n_hits}: it must lie between 0 and n = 2"):
        rate(n_hits, n)


def test_a_lean_is_believed_only_against_the_belief_that_both_are_alike():
    """By hand: the odds are the Bayes factor, by sums over a fine grid of rates, times the prior."""
    there, back, n_pairs = (12, 72), (0, 80), 5
    edges = np.linspace(0, 1, 100_001)
    rates, prior = (edges[1:] + edges[:-1]) / 2, np.diff(beta.cdf(edges, 0.5, 0.5))
    one, other = (binom.pmf(hits, n, rates) for hits, n in (there, back))
    factor = (prior * one).sum() * (prior * other).sum() / (prior * one * other).sum()
    belief = DIFFERENT / n_pairs
    odds = factor * belief / (1 - belief)
    expected = odds / (1 + odds) * probability_larger_rate(there, back)
    assert probability_of_lean(there, back, n_pairs=n_pairs) == pytest.approx(expected, rel=0.01)


def test_the_more_pairs_the_less_one_of_them_is_believed_to_lean():
    """Odds shared among n pairs: .5 / n against 1 - .5 / n, which is 1 to 2 n - 1."""
    odds = []
    for n in (1, 5, 20):
        p = belief_in_difference((6, 36), (0, 40), n_pairs=n)
        odds.append(p / (1 - p))
    assert odds == pytest.approx([odds[0], odds[0] / 9, odds[0] / 39])
    assert probability_of_lean((3, 18), (0, 20), n_pairs=1) < LIKELY  # W6b is too few
