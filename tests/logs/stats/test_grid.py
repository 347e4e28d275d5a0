import numpy as np
import pandas as pd
import pytest
from scipy.stats import norm

from logs.stats.grid import PooledTimes, pooled_times
from logs.stats.pooling import blocks_ago, case_sums
from tests.logs.stats.worked import W1_TIMES, case_times


def pool(times: pd.Series) -> PooledTimes:
    found = pooled_times(case_sums(times))
    assert found is not None
    return found


@pytest.fixture(scope="module")
def pooled():
    return pool(case_times(W1_TIMES))


def test_w1_only_g_and_h_are_not_known_yet(pooled):
    table = pooled.table()
    assert list(table.index[~table["is_known"]]) == ["G", "H"]
    assert list(table.index[table["is_hollow"]]) == ["E", "F", "G", "H"]


def test_the_grid_equals_a_far_finer_one_written_from_the_formula(pooled):
    """W1's times on 600 x 400 nodes, flat on tau^2 but for half-normals(0.5), the other on sigma, typed anew here."""
    logs = {case: np.log(np.array(some) / 1000) for case, some in W1_TIMES.items()}
    n = np.array([len(some) for some in logs.values()])
    mean = np.array([some.mean() for some in logs.values()])
    ss = sum(((some - some.mean()) ** 2).sum() for some in logs.values())
    tau = np.repeat((np.arange(600) + 0.5) * 1.5 / 600, 400)[:, None]
    sigma = np.tile(0.02 + (np.arange(400) + 0.5) * 0.98 / 400, 600)[:, None]
    v = tau**2 + sigma**2 / n
    m = (mean / v).sum(1, keepdims=True) / (1 / v).sum(1, keepdims=True)
    log_posterior = (
        np.log(tau[:, 0])
        - 2 * tau[:, 0] ** 2
        - 2 * sigma[:, 0] ** 2
        - (n.sum() - len(n)) * np.log(sigma[:, 0])
        - ss / (2 * sigma[:, 0] ** 2)
        - 0.5 * (np.log(v).sum(1) + ((mean - m) ** 2 / v).sum(1) + np.log((1 / v).sum(1)))
    )
    weights = np.exp(log_posterior - log_posterior.max())
    weights /= weights.sum()
    b = tau**2 / v
    centre = m + b * (mean - m)
    sd = np.sqrt(tau**2 * (1 - b) + (1 - b) ** 2 / (1 / v).sum(1, keepdims=True))
    for share in (0.1, 0.5, 0.9):
        at = pooled.log_times.quantile(share)
        below = (weights[:, None] * norm.cdf((at - centre) / sd)).sum(0)
        assert below == pytest.approx(share, abs=0.01)


def test_what_was_long_ago_counts_less_for_now():
    """A case twice as fast in the newest half: its time now is that of the newest."""
    rng = np.random.default_rng(5)
    rows = 1000 * np.exp(rng.normal(0.7, 0.1, 160) + np.where(np.arange(160) < 80, 0.7, 0.0))
    times = pd.Series(rows, index=list("abcd") * 40)
    found = pooled_times(case_sums(times, blocks=blocks_ago(160)))
    assert found is not None
    assert found.table()["centre_ms"].between(1800, 2250).all()
    assert pool(times).table()["centre_ms"].between(2600, 3100).all()


def test_many_sightings_narrow_the_band_to_the_textbook_one():
    """With 4,000 sightings a case the band is that of a mean with known sigma (z interval)."""
    rng = np.random.default_rng(4)
    logs = {
        case: rng.normal(mu, 0.2, 4000)
        for case, mu in zip("abcd", (0.5, 1.0, 1.4, 0.8), strict=True)
    }
    times = pd.Series(
        1000 * np.exp(np.concatenate(list(logs.values()))), np.repeat(list(logs), 4000)
    )
    table = pool(times).table()
    width = np.log((table["high_ms"] / table["low_ms"]).to_numpy())
    halves = [norm.ppf(0.9) * some.std(ddof=1) / np.sqrt(4000) for some in logs.values()]
    assert width == pytest.approx(2 * np.array(halves), rel=0.03)


def test_expected_time_lies_above_the_typical_one(pooled):
    """Arithmetic means are what seconds per solve add up in: exp(mu + sigma^2 / 2)."""
    means, table = pooled.mean_times(), pooled.table()
    assert (means["mean_ms"] > table["centre_ms"]).all()
    rng = np.random.default_rng(1)
    mixture, place = pooled.log_times, pooled.cases.index("D")
    node = rng.choice(len(mixture.weights), p=mixture.weights, size=400_000)
    drawn = np.exp(
        rng.normal(mixture.means[node, place], mixture.sds[node, place])
        + pooled.sigma[node] ** 2 / 2
    )
    assert means.loc["D", "mean_ms"] == pytest.approx(1000 * drawn.mean(), rel=0.002)
    assert means.loc["D", "sd_ms"] == pytest.approx(1000 * drawn.std(), rel=0.02)


@pytest.mark.parametrize(
    "times",
    [
        {"a": (1500,)},
        {"a": (1500, 1500)},
        dict.fromkeys("abcdefghij", (1500, 1500)),
        dict.fromkeys("abcd", (1500,)),
    ],
    ids=["one sighting", "one case", "all equal", "four once"],
)
def test_dumb_cases_have_honest_bands(times):
    table = pool(case_times(times)).table()
    assert np.isfinite(table.drop(columns=["is_known", "is_hollow"]).to_numpy(dtype=float)).all()
    assert (table["low_ms"] < 1500).all()
    assert (table["high_ms"] > 1500).all()
    assert table["centre_ms"].to_numpy() == pytest.approx(1500, rel=1e-6)
    means = pool(case_times(times)).mean_times()
    assert means["mean_ms"].between(1500, 15_000).all()
    assert np.isfinite(means["sd_ms"]).all()


def test_without_a_time_nothing_is_said():
    assert pooled_times(case_sums(pd.Series(dtype=float), cases=["a"])) is None
