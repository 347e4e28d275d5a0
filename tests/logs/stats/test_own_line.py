import numpy as np
import pandas as pd
import pytest
from statsmodels.regression.linear_model import OLS

from logs.stats.pooling import OwnLine, own_line

# Worked example W3a: the member's ten one-look cases.
TURNS = (6, 7, 7, 9, 9, 10, 11, 12, 13, 14)
EXECUTION_S = (0.92, 1.10, 1.02, 1.31, 1.45, 1.48, 1.55, 1.86, 1.83, 2.12)
CASES = [f"case {i}" for i in range(10)]
W3A_TIMES = pd.Series(1000 * np.array(EXECUTION_S), index=CASES)
W3A_TURNS = dict(zip(CASES, TURNS, strict=True))


def w3a_line() -> OwnLine:
    line = own_line(W3A_TIMES, turns=W3A_TURNS)
    assert line is not None
    return line


def test_w3a_line():
    line = w3a_line()
    assert line.intercept == pytest.approx(-1.7874, abs=1e-4)
    assert line.slope == pytest.approx(0.9505, abs=1e-4)
    assert line.residual_sd == pytest.approx(0.0461, abs=1e-4)
    assert line.n - 2 == 8


@pytest.mark.parametrize(
    ("turns", "median", "low", "high"),
    [(9, 1.351, 1.263, 1.446), (12, 1.776, 1.656, 1.904), (14, 2.056, 1.910, 2.213)],
)
def test_w3a_predictions(turns, median, low, high):
    found = w3a_line().predict(turns)
    assert [found.median_ms, found.low_ms, found.high_ms] == pytest.approx(
        [1000 * median, 1000 * low, 1000 * high], abs=1
    )


@pytest.mark.parametrize("turns", [4, 9, 20])
def test_predictions_equal_a_general_regression(turns):
    """Against statsmodels' interval of a new observation."""
    fit = OLS(np.log(EXECUTION_S), np.column_stack([np.ones(10), np.log(TURNS)])).fit()
    frame = fit.get_prediction([[1, np.log(turns)]]).summary_frame(alpha=0.2)
    found = w3a_line().predict(turns)
    assert np.log(found.median_ms / 1000) == pytest.approx(frame["mean"][0])
    assert np.log(found.low_ms / 1000) == pytest.approx(frame["obs_ci_lower"][0])
    assert np.log(found.high_ms / 1000) == pytest.approx(frame["obs_ci_upper"][0])


def test_expected_time_and_its_doubt_are_those_of_a_log_normal():
    found = w3a_line().predict(9)
    rng = np.random.default_rng(3)
    drawn = found.median_ms * np.exp(found.log_sd * rng.standard_normal(1_000_000))
    assert found.mean_ms == pytest.approx(drawn.mean(), rel=1e-3)
    assert found.sd_ms == pytest.approx(drawn.std(), rel=5e-3)


def test_the_clubs_factor_shifts_the_whole_prediction():
    plain, shifted = w3a_line().predict(9), w3a_line().predict(9, factor=1.2)
    assert shifted.median_ms == pytest.approx(1.2 * plain.median_ms)
    assert shifted.high_ms == pytest.approx(1.2 * plain.high_ms)


def test_too_little_is_no_line():
    assert own_line(W3A_TIMES[:3], turns=W3A_TURNS) is None
    assert own_line(W3A_TIMES, turns=dict.fromkeys(CASES, 9)) is None
    assert own_line(pd.Series(dtype=float), turns={}) is None


def test_bad_input_is_named():
    with pytest.raises(ValueError, match="turns has no entry for case 'case 0'"):
        own_line(W3A_TIMES, turns={})
    with pytest.raises(ValueError, match="turns is 0"):
        w3a_line().predict(0)
