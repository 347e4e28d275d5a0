"""The chances of cases are those of their orbits."""

import pytest

from cubecore.cases import Stage
from logs.cases.facts import case_chances
from tests.logs.stats.worked import OLL_CHANCES, PLL_CHANCES


def test_chances_leave_the_skip():
    """Orbit sizes: 216 and 72 with the skip, 57 and 21 cases."""
    oll, pll = case_chances(Stage.OLL), case_chances(Stage.PLL)
    assert (len(oll), len(pll)) == (57, 21)
    assert 1 - sum(oll.values()) == pytest.approx(1 / 216)
    assert 1 - sum(pll.values()) == pytest.approx(1 / 72)
    assert dict(oll) == OLL_CHANCES
    assert dict(pll) == PLL_CHANCES
