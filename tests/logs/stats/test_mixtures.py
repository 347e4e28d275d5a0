import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import norm

from logs.stats.distributions import NormalMixture

TWO = NormalMixture(
    np.array([0.3, 0.7]), np.array([[0.0, 5.0], [2.0, 5.0]]), np.array([[1.0, 0.5], [0.2, 0.0]])
)


@pytest.mark.parametrize("share", [0.025, 0.1, 0.5, 0.9, 0.975])
def test_quantiles_are_those_a_root_finder_gets(share):
    expected = brentq(
        lambda x: 0.3 * norm.cdf(x, 0, 1) + 0.7 * norm.cdf(x, 2, 0.2) - share, -9, 9, xtol=1e-12
    )
    assert TWO.quantile(share)[0] == pytest.approx(expected, abs=1e-9)


def test_the_cdf_takes_back_the_quantile():
    one = NormalMixture(np.ones(1), np.array([[1.0]]), np.array([[2.0]]))
    assert one.cdf(one.quantile(0.37))[0] == pytest.approx(0.37, abs=1e-12)


def test_a_point_mass_halves_at_its_point():
    point = NormalMixture(np.ones(1), np.array([[1.0]]), np.array([[0.0]]))
    assert point.cdf([1.0])[0] == 0.5
    assert point.quantile(0.9)[0] == 1.0


def test_moments_of_the_exponential_are_those_of_an_integral():
    mean, sd = TWO.exponential_moments(np.array([0.1, 0.02]))

    def moment(power):
        return sum(
            weight * _part(power, *part)
            for weight, *part in [(0.3, 0.0, 1.0, 0.1), (0.7, 2.0, 0.2, 0.02)]
        )

    assert mean[0] == pytest.approx(moment(1), rel=1e-7)
    assert sd[0] == pytest.approx(np.sqrt(moment(2) - moment(1) ** 2), rel=1e-7)


def _part(power, m, s, extra):
    return quad(lambda x: np.exp(power * (x + extra)) * norm.pdf(x, m, s), m - 12 * s, m + 14 * s)[
        0
    ]


@pytest.mark.parametrize("share", [0.0, 1.0])
def test_the_ends_have_no_quantile(share):
    with pytest.raises(ValueError, match="it must lie between 0 and 1"):
        TWO.quantile(share)
