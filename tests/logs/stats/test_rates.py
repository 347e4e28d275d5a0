import pytest
from hypothesis import given
from hypothesis import strategies as st

from logs.stats.rates import rate


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
    assert found.low == pytest.approx(low, abs=5e-5)
    assert found.high == pytest.approx(high, abs=5e-5)


def test_of_none_nothing_is_known():
    assert rate(0, 0) == (0, 0, None, 0.0, 1.0)


@given(st.integers(1, 400), st.data())
def test_a_range_holds_its_share_and_mirrors_for_the_misses(n, data):
    n_hits = data.draw(st.integers(0, n))
    found, missed = rate(n_hits, n), rate(n - n_hits, n)
    assert found.share is not None
    assert 0 <= found.low <= found.share <= found.high <= 1
    assert found.low == pytest.approx(1 - missed.high)


@pytest.mark.parametrize(("n_hits", "n"), [(3, 2), (-1, 2)])
def test_counts_that_do_not_fit_are_refused(n_hits, n):
    with pytest.raises(ValueError, match=f"n_hits is {n_hits}: it must lie between 0 and n = 2"):
        rate(n_hits, n)
