"""Worked examples W1c and W3c: pooling held against members whose truth is known."""

from collections.abc import Iterator

import numpy as np
import pandas as pd
import pytest

from logs.stats.grid import pooled_times
from logs.stats.pooling import case_sums
from tests.logs.stats.worlds import member_of_200_solves

SIZES = [200, pytest.param(2000, marks=pytest.mark.bench)]
"""The worked examples took 2,000 members; the default run takes a tenth."""


def member_errors(n_members: int) -> Iterator[pd.DataFrame]:
    """Raw and shrunk error of every case met, and where the truth lies in its distribution."""
    rng = np.random.default_rng(31)
    for _ in range(n_members):
        member = member_of_200_solves(rng)
        pooled = pooled_times(case_sums(member.times_ms))
        assert pooled is not None
        assert list(pooled.cases) == member.cases
        logs = np.log(member.times_ms / 1000).groupby(level=0, sort=True)
        yield pd.DataFrame(
            {
                "n": pooled.n,
                "mean": logs.mean().to_numpy() - member.truth,
                "median": logs.median().to_numpy() - member.truth,
                "shrunk": pooled.log_times.weights @ pooled.log_times.means - member.truth,
                "raw_time": logs.mean().to_numpy(),
                "shrunk_time": pooled.log_times.weights @ pooled.log_times.means,
                "place": pooled.log_times.cdf(member.truth),
            }
        )


@pytest.fixture(scope="module", params=SIZES)
def world(request):
    return list(member_errors(request.param))


def tolerance(world: list[pd.DataFrame], of_2000: float) -> float:
    """Chance alone: it shrinks with the root of the number of members."""
    return of_2000 * float(np.sqrt(2000 / len(world)))


def root_mean_square(errors: pd.Series) -> float:
    return float(np.sqrt((errors.to_numpy() ** 2).mean()))


def test_w1c_shrunk_beats_raw(world):
    errors = pd.concat(world)
    assert root_mean_square(errors["mean"]) == pytest.approx(0.111, abs=tolerance(world, 0.001))
    assert root_mean_square(errors["median"]) == pytest.approx(0.119, abs=tolerance(world, 0.001))
    assert root_mean_square(errors["shrunk"]) == pytest.approx(0.095, abs=tolerance(world, 0.001))


def test_w1c_at_one_sighting(world):
    once = pd.concat(world).query("n == 1")
    assert root_mean_square(once["mean"]) == pytest.approx(0.182, abs=tolerance(world, 0.003))
    assert root_mean_square(once["median"]) == pytest.approx(0.182, abs=tolerance(world, 0.003))
    assert root_mean_square(once["shrunk"]) == pytest.approx(0.137, abs=tolerance(world, 0.003))


def test_w1c_shrunk_beats_raw_at_every_count(world):
    for n, some in pd.concat(world).groupby("n"):
        if len(some) >= 400:  # below, the comparison is noise
            assert root_mean_square(some["shrunk"]) < root_mean_square(some["mean"]), n
            assert root_mean_square(some["shrunk"]) < root_mean_square(some["median"]), n


@pytest.mark.parametrize("band", [0.80, 0.95])
def test_w1c_bands_hold_what_they_say(world, band):
    place = pd.concat(world)["place"]
    held = ((place > (1 - band) / 2) & (place < (1 + band) / 2)).mean()
    assert held == pytest.approx(band, abs=0.02)


def test_w3c_the_slowest_by_raw_mean_get_faster_by_themselves(world):
    """Regression to the mean: Barnett, van der Pols and Dobson 2005. Nobody learnt anything."""
    raw, shrunk = [], []
    for member in world:
        raw.append(np.expm1(-member.nlargest(5, "raw_time")["mean"].mean()))
        shrunk.append(np.expm1(-member.nlargest(5, "shrunk_time")["shrunk"].mean()))
    # Share faster next time, by geometric means: 9.1 %, and 0.2 % slower.
    assert -100 * np.mean(raw) == pytest.approx(9.1, abs=tolerance(world, 0.35))
    assert -100 * np.mean(shrunk) == pytest.approx(-0.2, abs=tolerance(world, 0.35))
