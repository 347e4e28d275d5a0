from fractions import Fraction
from itertools import product

import pytest

from cubecore.cases import CASES, Stage
from logs.cases.figures import expected_unmet

OLL = [case.chance / 216 for case in CASES.values() if case.id.stage is Stage.OLL]
PLL = [case.chance / 72 for case in CASES.values() if case.id.stage is Stage.PLL]


# Worked table of the multinomial occupancy problem, computed apart from this project with NumPy.
@pytest.mark.parametrize(
    ("n_solves", "mean", "sd", "share_pct"),
    [
        (25, 36.81, 1.64, 63.3),
        (50, 23.96, 2.29, 40.4),
        (100, 10.47, 2.30, 16.7),
        (200, 2.39, 1.37, 3.2),
        (300, 0.74, 0.80, 0.75),
        (500, 0.15, 0.37, 0.10),
    ],
)
def test_olls_unmet_are_those_of_the_table(n_solves, mean, sd, share_pct):
    found = expected_unmet(OLL, n_solves=n_solves)
    assert found.mean == pytest.approx(mean, abs=0.006)
    assert found.sd == pytest.approx(sd, abs=0.006)
    assert 100 * found.share == pytest.approx(share_pct, abs=0.06)


@pytest.mark.parametrize(
    ("n_solves", "mean", "sd"),
    [(25, 6.94, 1.48), (50, 2.90, 1.28), (100, 0.91, 0.84), (200, 0.19, 0.42), (300, 0.05, 0.21)],
)
def test_plls_unmet_are_those_of_the_table(n_solves, mean, sd):
    found = expected_unmet(PLL, n_solves=n_solves)
    assert found.mean == pytest.approx(mean, abs=0.006)
    assert found.sd == pytest.approx(sd, abs=0.006)


def test_before_the_first_solve_every_case_is_unmet():
    found = expected_unmet(PLL, n_solves=0)
    assert (found.mean, found.sd) == (21, 0.0)
    assert found.share == pytest.approx(71 / 72)


def test_the_moments_are_those_of_every_possible_run():
    # Slow twin: all runs of four solves over three cases and a skip, each with its exact chance.
    chances = [Fraction(1, 2), Fraction(1, 4), Fraction(1, 8), Fraction(1, 8)]
    mean = second = Fraction(0)
    for run in product(range(4), repeat=4):
        weight = Fraction(1)
        for case in run:
            weight *= chances[case]
        unmet = sum(case not in run for case in range(3))
        mean += weight * unmet
        second += weight * unmet**2
    found = expected_unmet([float(p) for p in chances[:3]], n_solves=4)
    assert found.mean == pytest.approx(float(mean), abs=1e-12)
    assert found.sd**2 == pytest.approx(float(second - mean**2), abs=1e-12)
