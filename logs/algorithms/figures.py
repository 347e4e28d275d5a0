"""The hold that a coach teaches where it is not the one that the taught algorithm starts from."""

from dataclasses import dataclass
from functools import lru_cache

from cubecore.algorithms import Algorithm, prove_algorithm
from cubecore.cases import CASES, SKIP, CaseId, Stage, label
from cubecore.cube import SOLVED, after_turns
from cubecore.notation import parse_script
from cubecore.turns import inverse

LAYER_TURNS = ("", "U", "U2", "U'")
"""The turn of the upper layer of so many clockwise quarter turns."""
BEFORE = (*LAYER_TURNS, "y", "y2", "y'")
"""What may come between a hold and its algorithm: nothing, a turn of the layer or of the cube."""


@dataclass(frozen=True, slots=True)
class CoachHold:
    """The hold in which a coach teaches a case.

    Attributes:
        angle: The angle at which the case is held, quarter turns from the hold of the tables.
        before: What is turned between that hold and the algorithm: ``U``, ``U2``, ``U'``, or the
            whole cube by ``y``, ``y2``, ``y'``; empty for nothing.
    """

    angle: int
    before: str


@lru_cache(maxsize=2_000)
def with_before(algorithm: Algorithm, before: str) -> Algorithm:
    """``algorithm`` with a turn before it; it solves the same case, from another hold."""
    return prove_algorithm(f"{before} {algorithm.text}") if before else algorithm


def held_algorithm(algorithm: Algorithm, hold: CoachHold | None) -> Algorithm:
    """``algorithm`` from the coach's hold; as it is without one, or where that does not fit it."""
    if hold is None or not is_fitting(algorithm, hold):
        return algorithm
    return with_before(algorithm, hold.before)


def is_fitting(algorithm: Algorithm, hold: CoachHold) -> bool:
    """Whether ``algorithm`` solves its case from ``hold``, proved on the cube."""
    n_angles = CASES[algorithm.case].n_angles
    return (with_before(algorithm, hold.before).angle - hold.angle) % n_angles == 0


def turn_from(algorithm: Algorithm, angle: int) -> str:
    """The turn of the layer that leads from ``angle`` to the hold ``algorithm`` starts from."""
    return next(turn for turn in LAYER_TURNS if is_fitting(algorithm, CoachHold(angle, turn)))


def left_from(algorithm: Algorithm, hold: CoachHold) -> CaseId:
    """What ``algorithm`` leaves when it is done from a ``hold`` that does not fit it."""
    right = with_before(algorithm, turn_from(algorithm, hold.angle))
    met = after_turns(SOLVED, inverse(right.turns))
    turns = parse_script(f"{hold.before} {algorithm.text}").turns
    after = label(after_turns(met, turns))
    if after.oll != SKIP:
        return CaseId(Stage.OLL, after.oll)
    assert after.pll is not None  # known once the layer is oriented
    return CaseId(Stage.PLL, after.pll)
