import numpy as np
import pytest

from logs.stats.curves import Trend, TrendState, trend
from tests.logs.stats.worked import W5A_TIMES_MS


def judged(times) -> Trend:
    found = trend(times)
    assert found is not None
    return found


def test_w5b_the_last_twelve_still_improve():
    """Worked example W5b; least squares, 90 % t interval."""
    found = judged(W5A_TIMES_MS[-12:])
    assert 100 * found.low == pytest.approx(-16.3, abs=0.1)
    assert 100 * found.high == pytest.approx(-1.7, abs=0.1)
    assert found.state is TrendState.IMPROVING


def test_w5b_the_last_eight_cannot_tell():
    found = judged(W5A_TIMES_MS[-8:])
    assert 100 * found.low == pytest.approx(-15.3, abs=0.1)
    assert 100 * found.high == pytest.approx(10.9, abs=0.1)
    assert found.state is TrendState.CANNOT_TELL


def test_a_plateau_must_be_shown_by_a_narrow_interval():
    rng = np.random.default_rng(3)
    assert judged(2000 * np.exp(rng.normal(0, 0.05, 150))).state is TrendState.PLATEAU
    assert judged(2000 * np.exp(rng.normal(0, 0.3, 20))).state is TrendState.CANNOT_TELL


def test_slower_is_said_too():
    assert judged(list(reversed(W5A_TIMES_MS))).state is TrendState.SLOWING


def test_the_unit_changes_nothing():
    one, other = judged(W5A_TIMES_MS), judged([10 * ms for ms in W5A_TIMES_MS])
    assert (one.low, one.high) == pytest.approx((other.low, other.high))
    assert one.state is other.state


def test_below_eight_sightings_nothing_is_judged():
    assert trend(W5A_TIMES_MS[:7]) is None
    assert trend([]) is None


def test_all_equal_is_the_plainest_plateau():
    assert judged([2000.0] * 8).state is TrendState.PLATEAU


def test_bad_input_is_refused():
    with pytest.raises(ValueError, match="times_ms and margin must be above 0"):
        trend([0.0] * 8)
    with pytest.raises(ValueError, match="times_ms and margin must be above 0"):
        trend(W5A_TIMES_MS, margin=0)
