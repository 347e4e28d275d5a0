import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logs.stats.pooling import blocks_ago, case_sums
from tests.logs.stats.at_spread import Spread, held_fit
from tests.logs.stats.worked import W1_TIMES, case_times


def brute_force(times_ms, case, spread, *, turns=None, ago=None):
    """Mean and sd of a case's time now by conditioning one big normal, the flat mean by GLS.

    Best linear unbiased prediction as Robinson 1991 (Statistical Science 6) writes it. With turns
    the slope is one more effect, N(1, 0.5^2) but for the model's guess of sigma^2 in its unit.
    """
    cases = sorted(set(times_ms.index))
    y = np.log(times_ms.to_numpy() / 1000)
    z = np.array([[float(name == one) for one in cases] for name in times_ms.index])
    steps = np.zeros(len(y)) if ago is None else np.array(ago, dtype=float)
    v = spread.tau**2 * z @ z.T + spread.sigma**2 * np.eye(len(y))
    v += spread.drift**2 * np.minimum(steps[:, None], steps) / 31  # a walk of 31 steps in a log
    v += spread.block**2 * (steps[:, None] == steps)
    i = cases.index(case)
    c, prior = spread.tau**2 * z[:, i], spread.tau**2
    x, mine = np.ones((len(y), 1)), np.ones(1)
    known = 0.0
    if turns:
        slopes = np.log([turns[one] for one in cases])
        slopes = slopes - (z @ slopes).mean()
        means = np.array([y[times_ms.index == one].mean() for one in cases])
        guess = (((y - z @ means) ** 2).sum() + 0.04) / (len(y) - len(cases) + 1)
        variance = 0.5**2 * spread.sigma**2 / guess
        v += variance * np.outer(z @ slopes, z @ slopes)
        c, prior = c + variance * slopes[i] * (z @ slopes), prior + variance * slopes[i] ** 2
        y, known = y - z @ slopes, slopes[i]
    solved = np.linalg.inv(v)
    cov_b = np.linalg.inv(x.T @ solved @ x)
    b = cov_b @ x.T @ solved @ y
    mean = known + mine @ b + c @ solved @ (y - x @ b)
    lever = mine - c @ solved @ x
    variance = prior - c @ solved @ c + lever @ cov_b @ lever
    return mean, np.sqrt(variance)


@pytest.mark.parametrize("case", list(W1_TIMES))
def test_centres_equal_prediction_from_every_single_sighting(case):
    times = case_times(W1_TIMES)
    fit = held_fit(case_sums(times), Spread(0.3, 0.2))
    place = fit.cases.index(case)
    mean, sd = brute_force(times, case, Spread(0.3, 0.2))
    assert fit.centres.means[0, place] == pytest.approx(mean, abs=1e-8)
    assert fit.centres.sds[0, place] == pytest.approx(sd, abs=1e-8)


def test_times_now_equal_prediction_with_a_walk_and_days_of_their_own():
    times, spread = case_times(W1_TIMES), Spread(0.3, 0.2, drift=0.5, block=0.1)
    ago = np.random.default_rng(2).integers(0, 6, len(times))
    fit = held_fit(case_sums(times, blocks=ago), spread)
    for place, case in enumerate(fit.cases):
        mean, sd = brute_force(times, case, spread, ago=ago)
        assert fit.centres.means[0, place] == pytest.approx(mean, abs=1e-6)
        assert fit.centres.sds[0, place] == pytest.approx(sd, abs=1e-6)


def test_the_likelihood_is_that_of_the_whole_normal():
    """Restricted likelihood from the covariance of all sightings, less that of other spreads."""
    times = case_times(W1_TIMES)
    ago = np.random.default_rng(2).integers(0, 6, len(times))
    sums = case_sums(times, blocks=ago)
    spreads = Spread(0.3, 0.2, 0.5, 0.1), Spread(0.2, 0.25, 0.2, 0.05)

    def whole(spread: Spread) -> float:
        z = np.array([[float(name == one) for one in sums.cases] for name in times.index])
        v = spread.tau**2 * z @ z.T + spread.sigma**2 * np.eye(len(times))
        v += spread.drift**2 * np.minimum(ago[:, None], ago) / 31
        v += spread.block**2 * (ago[:, None] == ago)
        y, one, solved = np.log(times.to_numpy() / 1000), np.ones(len(times)), np.linalg.inv(v)
        rest = y - one @ solved @ y / (one @ solved @ one)
        inner = np.linalg.slogdet(v)[1] + np.log(one @ solved @ one) + rest @ solved @ rest
        return -0.5 * float(inner)

    found = [held_fit(sums, spread).log_likelihood for spread in spreads]
    assert found[0] - found[1] == pytest.approx(whole(spreads[0]) - whole(spreads[1]), abs=1e-5)


def test_the_newest_sighting_is_no_block_ago():
    assert blocks_ago(0).tolist() == []
    assert blocks_ago(5).tolist() == [0] * 5
    assert blocks_ago(8).tolist() == [1] * 4 + [0] * 4
    long = blocks_ago(1000)
    assert (long[0], long[-1], len(set(long))) == (31, 0, 32)
    assert (np.diff(long) <= 0).all()


def test_a_sighting_without_a_time_changes_nothing():
    times = case_times(W1_TIMES)
    with_gap = pd.concat([times, pd.Series([np.nan, np.nan], index=["A", "untimed"])])
    plain, gappy = case_sums(times), case_sums(with_gap)
    assert gappy.cases == plain.cases
    assert (gappy.n == plain.n).all()
    assert gappy.square_sum == plain.square_sum
    assert gappy.within == plain.within


def test_the_centre_follows_the_turns():
    times, spread = case_times(W1_TIMES), Spread(0.3, 0.2)
    turns = dict(zip("ABCDEFGH", (6, 8, 7, 11, 7, 9, 14, 6), strict=True))
    fit = held_fit(case_sums(times, turns=turns), spread)
    for place, case in enumerate(fit.cases):
        mean, sd = brute_force(times, case, spread, turns=turns)
        assert fit.centres.means[0, place] == pytest.approx(mean, abs=1e-6)
        assert fit.centres.sds[0, place] == pytest.approx(sd, abs=1e-6)


def test_a_long_algorithm_is_not_pulled_towards_short_ones():
    times = case_times({str(i): (1000 + 10 * i, 1100) for i in range(9)} | {"long": (3000,)})
    turns = {str(i): 6 + i % 2 for i in range(9)} | {"long": 18}
    plain = held_fit(case_sums(times), Spread(0.2, 0.2))
    along = held_fit(case_sums(times, turns=turns), Spread(0.2, 0.2))
    place = plain.cases.index("long")
    assert plain.centres.means[0, place] < np.log(2.0) < along.centres.means[0, place]


def test_one_length_tells_nothing_of_the_slope():
    times = case_times(W1_TIMES)
    alike = held_fit(case_sums(times, turns=dict.fromkeys(W1_TIMES, 8)), Spread(0.3, 0.2))
    plain = held_fit(case_sums(times), Spread(0.3, 0.2))
    assert alike.centres.means == pytest.approx(plain.centres.means)


def test_a_case_never_timed_stands_at_the_centre_with_its_whole_spread():
    times = case_times(W1_TIMES)
    at = held_fit(case_sums(times, cases=["Z"]), Spread(0.3, 0.2))
    without = held_fit(case_sums(times), Spread(0.3, 0.2))
    assert at.weights[-1] == 0
    assert at.centres.sds[0, -1] > 0.3
    assert at.log_likelihood == pytest.approx(without.log_likelihood)


def test_what_is_expected_is_taken_out_and_put_back():
    times = pd.Series([2000.0, 8000.0], index=["a", "b"])
    sums = case_sums(times, expected_ms={"a": 1000.0, "b": 4000.0, "c": 500.0}, cases=["c"])
    at = held_fit(sums, Spread(0.3, 0.2))
    assert np.exp(at.centres.means[0]) == pytest.approx(
        [2.0, 8.0, 1.0]
    )  # each twice what was expected


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
    own = sums.sums.sum(axis=1) / n
    centres = fit.centres.means[0]
    low, high = own.min(), own.max()
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
