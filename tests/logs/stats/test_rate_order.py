import numpy as np
import pytest

from logs.stats.rates import probability_larger_rate


@pytest.mark.parametrize(
    ("first", "second"), [((3, 18), (0, 20)), ((4, 5), (0, 7)), ((0, 1), (1, 1))]
)
def test_it_equals_draws(first, second):
    random = np.random.default_rng(1)
    one, other = (random.beta(hits + 0.5, n - hits + 0.5, 1_000_000) for hits, n in (first, second))
    assert probability_larger_rate(first, second) == pytest.approx((one > other).mean(), abs=0.002)


def test_it_is_even_for_the_same_and_adds_up_to_one():
    assert probability_larger_rate((2, 5), (2, 5)) == pytest.approx(0.5)
    assert probability_larger_rate((0, 0), (0, 0)) == pytest.approx(0.5)
    forth, back = probability_larger_rate((3, 9), (5, 9)), probability_larger_rate((5, 9), (3, 9))
    assert forth + back == pytest.approx(1)
