"""The chance of each case in one solve, as the tables have it."""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from cubecore.cases import CASES, Stage


@cache
def case_chances(stage: Stage) -> Mapping[str, float]:
    """The chance, 0..1, of each case of ``stage`` by number or letters, in the tables' order.

    What they leave of 1 is the skip: 1/216 of an OLL, 1/72 of a PLL.
    """
    return MappingProxyType(
        {
            str(case.id.number): case.chance / stage.chances_in
            for case in CASES.values()
            if case.id.stage == stage
        }
    )
