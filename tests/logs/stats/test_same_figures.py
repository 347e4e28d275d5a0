"""The same sightings give the same figures: in any order, in any process, in any unit."""

import os
import subprocess
import sys

import numpy as np
import pytest

from logs.stats.grid import pooled_times
from logs.stats.pooling import case_sums
from tests.logs.stats.figures import digest, figures
from tests.logs.stats.worked import W1_TIMES, case_times


@pytest.mark.parametrize(
    "environment",
    [
        {"PYTHONHASHSEED": "1", "TZ": "Pacific/Auckland", "LC_ALL": "C"},
        {"PYTHONHASHSEED": "2", "TZ": "America/Lima", "LC_ALL": "de_DE.UTF-8"},
    ],
    ids=["one", "other"],
)
def test_another_process_gives_the_same_bytes(environment):
    program = "from tests.logs.stats.figures import digest; print(digest())"
    printed = subprocess.run(
        [sys.executable, "-c", program],
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert printed.strip() == digest()


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_order_of_sightings_changes_no_figure(seed):
    assert figures(shuffled=seed).splitlines() == figures().splitlines()


@pytest.mark.parametrize("factor", [0.25, 3.7])
def test_all_times_by_a_factor_are_all_times_by_that_factor(factor):
    times = case_times(W1_TIMES)
    plain, scaled = (pooled_times(case_sums(some)) for some in (times, factor * times))
    assert plain is not None
    assert scaled is not None
    for column in ("centre_ms", "low_ms", "high_ms"):
        ratio = (scaled.table()[column] / plain.table()[column]).to_numpy()
        assert ratio == pytest.approx(factor, rel=1e-9)
    assert scaled.weights == pytest.approx(plain.weights)


def test_another_case_s_name_changes_no_number():
    """Cases swapped with their mirrors are the same numbers under other names."""
    times = case_times(W1_TIMES)
    mirrored = times.rename({"A": "B", "B": "A", "G": "H", "H": "G"})
    plain, swapped = (pooled_times(case_sums(some)) for some in (times, mirrored))
    assert plain is not None
    assert swapped is not None
    numbers = ["centre_ms", "low_ms", "high_ms"]
    back = swapped.table().loc[["B", "A", "C", "D", "E", "F", "H", "G"], numbers]
    assert np.allclose(back.to_numpy(), plain.table()[numbers].to_numpy(), rtol=1e-12)
