import pytest
from scipy.stats import chi2

from logs.cases.figures import (
    EDGE_CLASSES,
    chance_check,
    expected_unmet,
    smoothed_chances,
)
from tests.logs.stats.worked import OLL_CHANCES, PLL_CHANCES


@pytest.mark.parametrize(
    ("n_solves", "mean", "sd", "share"),
    [
        (25, 36.81, 1.64, 63.3),
        (50, 23.96, 2.29, 40.4),
        (100, 10.47, 2.30, 16.7),
        (200, 2.39, 1.37, 3.2),
        (300, 0.74, 0.80, 0.75),
        (500, 0.15, 0.37, 0.10),
    ],
)
def test_w2d_oll_cases_unmet(n_solves, mean, sd, share):
    """Worked example W2d; occupancy of unlike boxes, textbook."""
    found = expected_unmet(list(OLL_CHANCES.values()), n_solves=n_solves)
    assert found.mean == pytest.approx(mean, abs=0.01)
    assert found.sd == pytest.approx(sd, abs=0.01)
    assert 100 * found.share == pytest.approx(share, abs=0.1 if share > 1 else 0.01)


@pytest.mark.parametrize(
    ("n_solves", "mean", "sd"),
    [(25, 6.94, 1.48), (50, 2.90, 1.28), (100, 0.91, 0.84), (200, 0.19, 0.42), (300, 0.05, 0.21)],
)
def test_w2d_pll_cases_unmet(n_solves, mean, sd):
    found = expected_unmet(list(PLL_CHANCES.values()), n_solves=n_solves)
    assert found.mean == pytest.approx(mean, abs=0.01)
    assert found.sd == pytest.approx(sd, abs=0.01)


def test_w2e_no_alarm():
    """Worked example W2e; Pearson's chi-square, the tail from the distribution itself."""
    found = chance_check({"dot": 36, "bar": 41, "angle": 98, "oriented": 25})
    assert found is not None
    assert found.statistic == pytest.approx(6.50, abs=0.005)
    assert found.degrees == 3
    assert found.p == pytest.approx(0.090, abs=0.0005)
    assert found.p == pytest.approx(chi2.sf(found.statistic, 3))
    assert found.n == 200
    assert not found.is_alarm


def test_a_member_who_never_meets_a_dot_is_told():
    found = chance_check({"bar": 60, "angle": 110, "oriented": 30})
    assert found is not None
    assert found.is_alarm


def test_below_forty_solves_nothing_is_tested():
    assert chance_check({"angle": 39}) is None
    assert chance_check({"angle": 40}) is not None
    assert chance_check({}) is None


def test_edge_classes_are_those_of_eight():
    """Of the 8 even flips of four edges 1 is none, 1 all, 2 opposite pairs, 4 adjacent pairs."""
    assert EDGE_CLASSES == {"dot": 0.125, "bar": 0.25, "angle": 0.5, "oriented": 0.125}


def test_own_counts_are_pulled_towards_the_theory():
    own = smoothed_chances({"angle": 216}, chances=EDGE_CLASSES)
    assert sum(own.values()) == pytest.approx(1)
    assert own["angle"] == pytest.approx(0.75)
    assert smoothed_chances({}, chances=EDGE_CLASSES) == pytest.approx(EDGE_CLASSES)


def test_a_class_without_a_chance_is_refused():
    with pytest.raises(ValueError, match="counts has 'cross'; the classes are dot, bar"):
        chance_check({"cross": 3})
