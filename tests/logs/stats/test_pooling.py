import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logs.stats.pooling import Spread, case_sums, conditional
from tests.logs.stats.at_spread import held_fit
from tests.logs.stats.worked import W1_TIMES, case_times


def brute_force(times_ms, case, tau, sigma, *, turns=None):
    """Mean and sd of a case's centre by conditioning one big normal, the flat mean by GLS.

    Best linear unbiased prediction as Robinson 1991 (Statistical Science 6) writes it.
    """
    cases = sorted(set(times_ms.index))
    y = np.log(times_ms.to_numpy() / 1000)
    z = np.array([[float(name == one) for one in cases] for name in times_ms.index])
    x_cases = np.ones((len(cases), 1))
    if turns:
        x_cases = np.column_stack([x_cases, np.log([turns[one] for one in cases])])
    v = tau**2 * z @ z.T + sigma**2 * np.eye(len(y))
    x = z @ x_cases
    solved = np.linalg.inv(v)
    cov_b = np.linalg.inv(x.T @ solved @ x)
    b = cov_b @ x.T @ solved @ y
    i = cases.index(case)
    c = tau**2 * z[:, i]
    mean = x_cases[i] @ b + c @ solved @ (y - x @ b)
    lever = x_cases[i] - c @ solved @ x
    variance = tau**2 - c @ solved @ c + lever @ cov_b @ lever
    return mean, np.sqrt(variance)


@pytest.mark.parametrize("case", list(W1_TIMES))
def test_centres_equal_prediction_from_every_single_sighting(case):
    times = case_times(W1_TIMES)
    fit = held_fit(case_sums(times), Spread(0.3, 0.2))
    place = fit.cases.index(case)
    mean, sd = brute_force(times, case, 0.3, 0.2)
    assert fit.centres.means[0, place] == pytest.approx(mean, abs=1e-12)
    assert fit.centres.sds[0, place] == pytest.approx(sd, abs=1e-12)


def test_a_sighting_without_a_time_changes_nothing():
    times = case_times(W1_TIMES)
    with_gap = pd.concat([times, pd.Series([np.nan, np.nan], index=["A", "untimed"])])
    plain, gappy = case_sums(times), case_sums(with_gap)
    assert gappy.cases == plain.cases
    assert (gappy.n == plain.n).all()
    assert gappy.square_sum == plain.square_sum


def test_with_nine_cases_the_centre_follows_the_turns():
    times = case_times(W1_TIMES | {"I": (2500, 2700)})
    turns = dict(zip("ABCDEFGHI", (6, 8, 7, 11, 7, 9, 14, 6, 10), strict=True))
    fit = held_fit(case_sums(times, turns=turns), Spread(0.3, 0.2))
    for place, case in enumerate(fit.cases):
        mean, sd = brute_force(times, case, 0.3, 0.2, turns=turns)
        assert fit.centres.means[0, place] == pytest.approx(mean, abs=1e-10)
        assert fit.centres.sds[0, place] == pytest.approx(sd, abs=1e-10)


def test_a_long_algorithm_is_not_pulled_towards_short_ones():
    times = case_times({str(i): (1000 + 10 * i, 1100) for i in range(9)} | {"long": (3000,)})
    turns = {str(i): 6 + i % 2 for i in range(9)} | {"long": 18}
    plain = held_fit(case_sums(times), Spread(0.2, 0.2))
    along = held_fit(case_sums(times, turns=turns), Spread(0.2, 0.2))
    place = plain.cases.index("long")
    assert plain.centres.means[0, place] < np.log(2.0) < along.centres.means[0, place]


def test_eight_cases_or_one_length_share_one_centre():
    times = case_times(W1_TIMES)
    assert case_sums(times, turns=dict.fromkeys(W1_TIMES, 8)).design.shape[1] == 1
    nine = case_times(W1_TIMES | {"I": (2500,)})
    assert case_sums(nine, turns=dict.fromkeys("ABCDEFGHI", 8)).design.shape[1] == 1


def test_a_case_never_timed_stands_at_the_centre_with_its_whole_spread():
    times = case_times(W1_TIMES)
    at = conditional(case_sums(times, cases=["Z"]), np.array([0.3]), np.array([0.2]))
    without = conditional(case_sums(times), np.array([0.3]), np.array([0.2]))
    assert at.weights[0, -1] == 0
    assert at.means[0, -1] == pytest.approx(at.centre[0])
    assert at.sds[0, -1] > 0.3
    assert at.log_likelihood[0] == pytest.approx(without.log_likelihood[0])


def test_what_is_expected_is_taken_out_and_put_back():
    times = pd.Series([2000.0, 8000.0], index=["a", "b"])
    sums = case_sums(times, expected_ms={"a": 1000.0, "b": 4000.0, "c": 500.0}, cases=["c"])
    at = conditional(sums, np.array([0.3]), np.array([0.2]))
    assert np.exp(at.means[0]) == pytest.approx([2.0, 8.0, 1.0])  # each twice what was expected


def test_a_missing_entry_and_an_impossible_time_are_named():
    times = pd.Series([2000.0, 3000.0], index=["a", "b"])
    with pytest.raises(ValueError, match="expected_ms has no entry for case 'b'"):
        case_sums(times, expected_ms={"a": 1000.0})
    with pytest.raises(ValueError, match=r"times_ms has 0\.0 ms"):
        case_sums(pd.Series([0.0], index=["a"]))


seconds = st.floats(0.3, 20.0)
members = st.dictionaries(
    st.sampled_from("ABCDEFGH"), st.lists(seconds, min_size=1, max_size=6), min_size=2
)


@settings(deadline=None, max_examples=60)
@given(members, st.floats(0.05, 1.0), st.floats(0.05, 0.6))
def test_with_tau_and_sigma_held_weights_behave(times, tau, sigma):
    series = pd.Series(
        [1000 * t for some in times.values() for t in some],
        index=[case for case, some in times.items() for _ in some],
    )
    sums = case_sums(series)
    fit = held_fit(sums, Spread(tau, sigma))
    weights, n = np.array(fit.weights), sums.n
    assert ((weights >= 0) & (weights <= 1)).all()
    assert (np.diff(weights[np.argsort(n, kind="stable")]) >= -1e-12).all()
    assert (np.array(held_fit(sums, Spread(tau, sigma * 1.5)).weights) <= weights).all()
    centres = fit.centres.means[0]
    low, high = np.minimum(sums.mean, fit.mu), np.maximum(sums.mean, fit.mu)
    assert ((low - 1e-9 <= centres) & (centres <= high + 1e-9)).all()


@settings(deadline=None, max_examples=60)
@given(members, seconds, st.data())
def test_one_more_sighting_never_widens_a_band(times, more, data):
    case = data.draw(st.sampled_from(sorted(times)))
    rows = [(name, 1000 * t) for name, some in times.items() for t in some]
    spreads = []
    for some in (rows, [*rows, (case, 1000 * more)]):
        series = pd.Series([t for _, t in some], index=[name for name, _ in some])
        spreads.append(held_fit(case_sums(series), Spread(0.28, 0.22)).centres.sds[0])
    assert (spreads[1] <= spreads[0] + 1e-12).all()
