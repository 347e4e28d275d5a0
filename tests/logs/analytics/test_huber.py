import numpy as np
import pandas as pd
import pytest

from logs.analytics.huber import huber_centre
from logs.analytics.robust import ODD_Z, median_band, robust_z
from tests.logs.analytics.worked import W1_TIMES

W1D = pd.Series([float(ms) for ms in (*W1_TIMES["A"], 8900)])


def test_w1d_an_odd_sighting_hardly_moves_the_centre():
    """Worked example W1d; Huber 1964, k = 1.345, MAD scale, on logs: 2.08 s."""
    assert huber_centre(W1D) == pytest.approx(2080, abs=10)
    assert np.exp(np.log(W1D).mean()) == pytest.approx(2260, abs=10)
    assert W1D.median() == pytest.approx(2050, abs=10)


def test_w1d_the_odd_one_is_flagged_and_no_other():
    """Worked example W1d; Iglewicz and Hoaglin 1993, NIST/SEMATECH e-Handbook 1.3.5.17."""
    z = robust_z(W1D)
    assert z[-1] == pytest.approx(5.8, abs=0.1)
    assert [abs(one) >= ODD_Z for one in z] == [False] * 12 + [True]


@pytest.mark.parametrize(
    ("n", "held"), [(3, 0.750), (4, 0.875), (5, 0.9375), (8, 0.9297), (12, 0.854)]
)
def test_bands_of_medians_hold_what_order_statistics_say(n, held):
    """Conover 1999, confidence interval of a quantile."""
    assert median_band(range(n)).held == pytest.approx(held, abs=0.0005)


def test_it_solves_the_equation_that_defines_it():
    """Huber 1964: the clipped residuals add up to zero."""
    logs = np.log(W1D.to_numpy())
    scale = np.median(np.abs(logs - np.median(logs))) / 0.6744897501960817
    centre = huber_centre(W1D)
    assert centre is not None
    psi = np.clip((logs - np.log(centre)) / scale, -1.345, 1.345)
    assert psi.sum() == pytest.approx(0, abs=1e-4)


def test_order_and_gaps_change_nothing():
    with_gap = pd.Series([*reversed(W1D.to_list()), np.nan])
    assert huber_centre(with_gap) == huber_centre(W1D)


@pytest.mark.parametrize(
    ("times", "centre"), [([], None), ([1500.0], 1500.0), ([1500.0] * 4 + [9000.0], 1500.0)]
)
def test_dumb_cases(times, centre):
    assert huber_centre(pd.Series(times, dtype=float)) == centre


def test_a_time_of_zero_is_named():
    with pytest.raises(ValueError, match=r"times_ms has 0\.0 ms"):
        huber_centre(pd.Series([0.0, 100.0]))
