import warnings

import numpy as np
import pandas as pd
import pytest
from statsmodels.regression.mixed_linear_model import MixedLM

from logs.analytics.grid import probability_larger
from logs.analytics.pooling import case_sums
from logs.analytics.reml import reml_fit
from tests.logs.analytics.worked import W1_TIMES, case_times

# Worked example W1a: case -> raw geometric mean, B, centre, 80 % band, all in seconds.
W1A = {
    "A": (2.019, 0.951, 2.039, 1.884, 2.207),
    "B": (2.530, 0.907, 2.524, 2.263, 2.816),
    "C": (2.228, 0.866, 2.259, 1.980, 2.576),
    "D": (3.028, 0.829, 2.923, 2.519, 3.393),
    "E": (1.861, 0.764, 1.988, 1.668, 2.371),
    "F": (3.051, 0.764, 2.901, 2.433, 3.459),
    "G": (4.980, 0.618, 3.807, 3.036, 4.774),
    "H": (1.520, 0.618, 1.828, 1.458, 2.293),
}


@pytest.fixture(scope="module")
def fit():
    return reml_fit(case_sums(case_times(W1_TIMES)))


def test_w1a_parameters(fit):
    assert fit.mu == pytest.approx(0.9023, abs=1e-4)
    assert fit.spread.tau == pytest.approx(0.2774, abs=1e-4)
    assert fit.spread.sigma == pytest.approx(0.2181, abs=1e-4)


@pytest.mark.parametrize("case", list(W1A))
def test_w1a_centres_and_bands(fit, case):
    raw, weight, centre, low, high = W1A[case]
    place = fit.cases.index(case)
    sums = case_sums(case_times(W1_TIMES))
    assert np.exp(sums.mean[place]) == pytest.approx(raw, abs=0.001)
    assert fit.weights[place] == pytest.approx(weight, abs=0.001)
    for share, expected in ((0.1, low), (0.5, centre), (0.9, high)):
        assert np.exp(fit.centres.quantile(share)[place]) == pytest.approx(expected, abs=0.005)


def test_w1a_g_at_95_percent_and_against_d(fit):
    g, d = fit.cases.index("G"), fit.cases.index("D")
    assert np.exp(fit.centres.quantile(0.025)[g]) == pytest.approx(2.69, abs=0.005)
    assert np.exp(fit.centres.quantile(0.975)[g]) == pytest.approx(5.38, abs=0.005)
    assert probability_larger(fit.centres, g, d) == pytest.approx(0.894, abs=0.001)


def test_w7_a_against_c(fit):
    a, c = fit.cases.index("A"), fit.cases.index("C")
    assert probability_larger(fit.centres, c, a) == pytest.approx(0.803, abs=0.001)


def test_parameters_equal_a_general_mixed_model(fit):
    """Against statsmodels' MixedLM, which reads every sighting again."""
    times = case_times(W1_TIMES)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = MixedLM(np.log(times.to_numpy() / 1000), np.ones(len(times)), groups=times.index)
        found = model.fit(reml=True)
    assert fit.mu == pytest.approx(found.fe_params[0], abs=1e-4)
    assert fit.spread.tau == pytest.approx(np.sqrt(found.cov_re[0, 0]), abs=1e-4)
    assert fit.spread.sigma == pytest.approx(np.sqrt(found.scale), abs=1e-4)


def test_like_cases_have_a_tau_of_zero():
    times = case_times({"a": (1000, 2000), "b": (2000, 1000), "c": (1000, 2000)})
    fit = reml_fit(case_sums(times))
    assert fit is not None
    assert fit.spread.tau == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    "times",
    [
        {},
        {"a": (1000, 1100)},
        {"a": (1000,), "b": (1200,), "c": (900,)},
        {"a": (1000, 1000), "b": (1000, 1000)},
    ],
    ids=["none", "one case", "nothing repeated", "all equal"],
)
def test_nothing_is_fitted_where_nothing_can_be(times):
    assert reml_fit(case_sums(case_times(times) if times else pd.Series(dtype=float))) is None
