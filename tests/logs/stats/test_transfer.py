import numpy as np
import pandas as pd
import pytest
from scipy.stats import t as student

from logs.stats.transfer import transfer

DRILLS = pd.Series([2100, 1950, 2300, 2050, 1880, 2200, 2020, 1970], dtype=float)
SOLVES = pd.Series([2750, 3100, 2600, 2950, 2850], dtype=float)


def test_w4d_solves_take_longer_than_drills():
    """Worked example W4d; Welch 1947, 90 %."""
    found = transfer(DRILLS, SOLVES)
    assert found is not None
    assert found.ratio == pytest.approx(1.385, abs=0.001)
    assert found.range is not None
    assert found.range.low == pytest.approx(1.29, abs=0.01)
    assert found.range.high == pytest.approx(1.49, abs=0.01)
    assert (found.n_drills, found.n_solves) == (8, 5)


def test_the_band_is_welchs():
    """Welch 1947 with Satterthwaite's degrees of freedom, typed from the formula."""
    drills, solves = np.log(DRILLS.to_numpy()), np.log(SOLVES.to_numpy())
    parts = np.array([some.var(ddof=1) / some.size for some in (drills, solves)])
    degrees = parts.sum() ** 2 / (parts**2 / [drills.size - 1, solves.size - 1]).sum()
    reach = student.ppf(0.95, degrees) * np.sqrt(parts.sum())
    found = transfer(DRILLS, SOLVES)
    assert found is not None
    assert found.range is not None
    assert found.range.low == pytest.approx(found.ratio * np.exp(-reach))
    assert found.range.high == pytest.approx(found.ratio * np.exp(reach))


def test_the_unit_and_the_order_change_nothing():
    other = transfer(7 * DRILLS[::-1], 7 * SOLVES[::-1])
    plain = transfer(DRILLS, SOLVES)
    assert other is not None
    assert plain is not None
    assert other.ratio == pytest.approx(plain.ratio)


def test_without_either_nothing_is_said():
    assert transfer(pd.Series(dtype=float), SOLVES) is None
    assert transfer(DRILLS, pd.Series([np.nan])) is None


@pytest.mark.parametrize("solves", [SOLVES[:1], pd.Series([2000.0, 2000.0])])
def test_one_sighting_or_no_spread_has_no_band(solves):
    found = transfer(DRILLS, solves)
    assert found is not None
    assert found.range is None
    assert found.ratio > 0
