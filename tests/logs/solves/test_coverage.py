import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logs.solves.figures.standing import JEFFREYS, RatePrior, coverage
from tests.logs.stats.worked import OLL_CHANCES, PLL_CHANCES, counts

# Worked example W2c: PLL, Beta(1/2, 1/2). Chances: orbit sizes of the cases, 4, 2 or 1 of 72.
W2C = {
    "T": (6, 6), "Jb": (5, 6), "Ua": (7, 7), "Ub": (6, 7), "H": (2, 2), "Z": (3, 3),
    "Y": (1, 5), "V": (0, 6), "F": (0, 4), "Ra": (0, 5),
}  # fmt: skip


def test_chances_and_skips_add_up():
    assert len(OLL_CHANCES) == 57
    assert sum(OLL_CHANCES.values()) == pytest.approx(215 / 216)
    assert len(PLL_CHANCES) == 21
    assert sum(PLL_CHANCES.values()) == pytest.approx(71 / 72)


def test_w2c_three_parts():
    found = coverage(counts(W2C), chances=PLL_CHANCES, prior=JEFFREYS)
    assert found.covered == pytest.approx(0.270, abs=0.001)
    assert found.low == pytest.approx(0.246, abs=0.001)
    assert found.high == pytest.approx(0.295, abs=0.001)
    assert found.never_met == pytest.approx(0.500, abs=1e-12)
    assert found.covered + found.never_met == pytest.approx(0.77, abs=0.001)
    assert found.n_cases_met == 10
    assert found.n == 51


def test_the_band_is_that_of_draws():
    """A million seeded draws of the ten rates, against the Beta of the same two moments."""
    rng = np.random.default_rng(7)
    drawn = np.full(1_000_000, 1 / 72)
    for case, (x, n) in W2C.items():
        drawn += PLL_CHANCES[case] * rng.beta(x + 0.5, n - x + 0.5, drawn.size)
    found = coverage(counts(W2C), chances=PLL_CHANCES, prior=JEFFREYS)
    assert found.sd == pytest.approx(drawn.std(), rel=0.005)
    assert [found.low, found.high] == pytest.approx(np.quantile(drawn, [0.1, 0.9]), abs=0.001)


cells = st.dictionaries(
    st.sampled_from(sorted(PLL_CHANCES)),
    st.tuples(st.integers(0, 30), st.integers(0, 30)).map(lambda two: (two[0], sum(two))),
)


@given(cells, st.floats(0.05, 50), st.floats(0.05, 50))
@settings(deadline=None, max_examples=60)
def test_three_parts_always_add_up_to_one(rows, alpha, beta):
    found = coverage(counts(rows), chances=PLL_CHANCES, prior=RatePrior(alpha, beta))
    assert found.covered + found.not_covered + found.never_met == pytest.approx(1, abs=1e-12)
    for part in (found.covered, found.not_covered, found.never_met, found.low, found.high):
        assert -1e-12 <= part <= 1 + 1e-12
    assert found.low - 1e-12 <= found.high


def test_nobody_has_met_anything_yet():
    found = coverage(counts({}), chances=OLL_CHANCES, prior=JEFFREYS)
    assert found.covered == pytest.approx(1 / 216)
    assert found.low == found.high == found.covered
    assert found.not_covered == 0
    assert found.never_met == pytest.approx(215 / 216)


def test_more_in_one_look_covers_more():
    less = coverage(counts(W2C), chances=PLL_CHANCES, prior=JEFFREYS)
    more = coverage(counts(W2C | {"Y": (2, 5)}), chances=PLL_CHANCES, prior=JEFFREYS)
    assert more.covered > less.covered


def test_a_case_without_a_chance_is_named():
    with pytest.raises(ValueError, match="counts has case 'X', which has no chance"):
        coverage(counts({"X": (1, 1)}), chances=PLL_CHANCES, prior=JEFFREYS)


def test_chances_above_one_are_refused():
    with pytest.raises(ValueError, match=r"chances add up to 1\.2"):
        coverage(counts({}), chances={"a": 0.6, "b": 0.6}, prior=JEFFREYS)
