import numpy as np
import pytest

from logs.stats.curves import curve_band, learning_curves
from tests.logs.stats.worked import W5A_TIMES_MS

# Worked example W5a: least squares on logs; AICc as Burnham and Anderson 2002.


@pytest.fixture(scope="module")
def curves():
    return {curve.form: curve for curve in learning_curves(W5A_TIMES_MS)}


def test_w5a_exponential(curves):
    floor, gain, rate = curves["exponential"].parameters
    assert floor == pytest.approx(2544, abs=1)
    assert gain == pytest.approx(2992, abs=1)
    assert rate == pytest.approx(0.170, abs=0.001)
    assert curves["exponential"].square_sum == pytest.approx(0.0699, abs=1e-4)


def test_w5a_power(curves):
    gain, rate = curves["power"].parameters
    assert gain == pytest.approx(5437, abs=1)
    assert rate == pytest.approx(0.2406, abs=1e-4)
    assert curves["power"].square_sum == pytest.approx(0.0803, abs=1e-4)


@pytest.mark.parametrize(
    ("form", "aicc", "weight"),
    [
        ("exponential", -130.02, 0.45),
        ("power", -129.59, 0.37),
        ("apex", -126.91, 0.10),
        ("power_to_floor", -126.68, 0.09),
        ("constant", -71.73, 0.0),
    ],
)
def test_w5a_criteria_and_weights(curves, form, aicc, weight):
    assert curves[form].aicc == pytest.approx(aicc, abs=0.01)
    assert curves[form].weight == pytest.approx(weight, abs=0.01)


def test_w5a_the_floor_of_the_power_law_runs_to_nothing(curves):
    assert curves["power_to_floor"].parameters[0] < 1


def test_the_likeliest_form_comes_first(curves):
    assert next(iter(curves)) == "exponential"
    assert sum(curve.weight for curve in curves.values()) == pytest.approx(1)


def test_a_curve_made_without_noise_is_found_again():
    n = np.arange(1, 41)
    rng = np.random.default_rng(8)
    times = (1800 + 2500 * np.exp(-0.2 * n)) * np.exp(rng.normal(0, 1e-4, 40))
    best = learning_curves(list(times))[0]
    assert best.form == "exponential"
    assert best.parameters == pytest.approx((1800, 2500, 0.2), rel=1e-3)


def test_the_band_holds_the_doubt_about_the_form():
    curves = learning_curves(W5A_TIMES_MS)
    band = curve_band(curves, sightings=[1, 12, 24, 48])
    assert (band["low_ms"] < band["centre_ms"]).all()
    assert (band["centre_ms"] < band["high_ms"]).all()
    width = np.log(band["high_ms"] / band["low_ms"])
    assert width[48] > width[24]  # beyond the data the forms part
    alone = [curve_band([curve], sightings=[48]).loc[48] for curve in curves]
    widths = [np.log(one["high_ms"] / one["low_ms"]) for one in alone]
    assert width[48] > 1.02 * np.average(widths, weights=[curve.weight for curve in curves])


@pytest.mark.parametrize(
    ("n_series", "low", "high"),
    [(20, 0.6, 1.0), pytest.param(400, 0.74, 0.88, marks=pytest.mark.bench)],
)
def test_bands_hold_the_truth_about_as_often_as_they_say(n_series, low, high):
    """80 % bands at the last sighting of seeded noisy exponentials, the form not being known."""
    rng = np.random.default_rng(12)
    n = np.arange(1, 25)
    truth = 2000 + 2500 * np.exp(-0.15 * n)
    held = 0
    for _ in range(n_series):
        curves = learning_curves(list(truth * np.exp(rng.normal(0, 0.08, 24))))
        band = curve_band(curves, sightings=[24]).loc[24]
        held += band["low_ms"] <= truth[-1] <= band["high_ms"]
    assert low <= held / n_series <= high


def test_times_times_ten_are_the_same_curves():
    scaled = learning_curves([10 * ms for ms in W5A_TIMES_MS])
    for one, other in zip(learning_curves(W5A_TIMES_MS), scaled, strict=True):
        assert one.form == other.form
        assert one.aicc == pytest.approx(other.aicc)
        assert 10 * one.at([5]) == pytest.approx(other.at([5]), rel=1e-5)


@pytest.mark.parametrize("times", [[], [2000.0] * 11, [2000.0] * 30], ids=["none", "few", "equal"])
def test_no_curve_where_none_should_be_drawn(times):
    assert learning_curves(times) == ()
    assert curve_band((), sightings=[1]).empty


def test_a_time_of_zero_is_refused():
    with pytest.raises(ValueError, match="times_ms must all be above 0"):
        learning_curves([0.0] * 12)


def test_the_doubt_of_one_time_is_the_standard_error_of_a_mean():
    """Variance of a mean: the sample's, with n - 1, over n (textbook)."""
    times = W5A_TIMES_MS[:12]
    (constant,) = [curve for curve in learning_curves(times) if curve.form == "constant"]
    expected = np.log(times).var(ddof=1) / 12
    assert constant.log_variance([1])[0] == pytest.approx(expected, rel=1e-4)
