"""A share from a weighted sample: worked by hand, against a general library, and its edges."""

import pytest
from scipy.stats import beta, norm

from logs.stats.design import weighted_share


def test_the_share_is_the_ratio_of_weighted_sums():
    # By hand: (30 + 10) / (30 + 10 + 10) of the drawn; with 5 of 10 beside it (40 + 5) / (50 + 10).
    share, _ = weighted_share([True, True, False], [30, 10, 10])
    assert share == pytest.approx(0.8)
    share, _ = weighted_share([True, True, False], [30, 10, 10], certain=(5, 10))
    assert share == pytest.approx(0.75)


def test_equal_weights_of_a_large_whole_give_jeffreys_range():
    # Brown, Cai and DasGupta 2001: the quantiles of Beta(x + 1/2, n - x + 1/2); from memory.
    _, span = weighted_share([True] * 7 + [False] * 13, [1e9] * 20)
    expected = beta.ppf([0.1, 0.9], 7.5, 13.5)
    assert (span.low, span.high) == pytest.approx(tuple(expected), abs=1e-6)


def test_the_range_nears_that_of_a_simple_sample_of_a_finite_whole():
    # Cochran, Sampling Techniques, section 3.2 (from memory): the standard error of a share of n of N
    # is sqrt(p q / (n - 1) (N - n) / N).
    n, whole = 400, 1_000
    _, span = weighted_share([True] * 240 + [False] * 160, [whole / n] * n)
    half = norm.ppf(0.9) * (0.6 * 0.4 / (n - 1) * (whole - n) / whole) ** 0.5
    assert (span.high - span.low) / 2 == pytest.approx(half, rel=0.01)


def test_unlike_weights_widen_it_and_a_whole_taken_whole_has_no_width():
    hits = [True, False] * 10
    _, even = weighted_share(hits, [10] * 20)
    _, uneven = weighted_share(hits, [19] * 10 + [1] * 10)
    assert uneven.high - uneven.low > even.high - even.low
    _, exact = weighted_share(hits, [1] * 20)
    assert exact.low == exact.high == 0.5


def test_none_and_all_reach_the_ends():
    assert weighted_share([False] * 5, [10] * 5)[1].low == 0
    assert weighted_share([True] * 5, [10] * 5)[1].high == 1


def test_a_sample_of_none_is_refused():
    with pytest.raises(ValueError, match="tells nothing"):
        weighted_share([], [])
