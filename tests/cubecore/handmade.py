"""Rows written by hand: stretches of turns at nearly ten a second, with the pause before each said."""

from dataclasses import dataclass

from cubecore.rows import Penalty, Row
from tests.cubecore import twin
from tests.cubecore.solves import layer_tokens, outer

STEP_MS = 104
"""The gap between two turns of a stretch, no step of a coarse clock; a hesitation is 2.5 times the
median gap: 260 ms."""

SUNE = "R U R' U R U2 R'"
ANTISUNE = "R U2 R' U' R U' R'"
EDGES = "F R U R' U' F'"
T_PERM = "R U R' U' R' F R2 U' R' U' R U R' F'"
JB_PERM = "R U R' F' R U R' U' R' F R2 U' R'"
UA_PERM = "R U' R U R U R U' R' U' R2"
AA_PERM = "x R' U R' D2 R U' R' D2 R2 x'"
PAIR = "R U R'"


@dataclass(frozen=True)
class Stretch:
    """Turns made ``STEP_MS`` apart, the first of them ending ``pause_ms`` after what came before."""

    pause_ms: int
    text: str


def turn_ends(stretches: tuple[Stretch, ...]) -> tuple[int, ...]:
    """The end of each layer turn, in ms."""
    now, ends = 0, []
    for stretch in stretches:
        for n, _ in enumerate(layer_tokens(stretch.text)):
            now += STEP_MS if n else stretch.pause_ms
            ends.append(now)
    return tuple(ends)


def timed_row(*stretches: Stretch, solves: str = "") -> Row:
    """A timed row of ``stretches``.

    Args:
        stretches: What is done, in order.
        solves: What would solve the scramble; empty when the stretches do.
    """
    solution = " ".join(stretch.text for stretch in stretches)
    ends = turn_ends(stretches)
    return Row(
        scramble=twin.inverse(outer(solves or solution)),
        time_ms=ends[-1] + 10,
        solution=solution,
        turn_ms=ends,
    )


def dnf(row: Row) -> Row:
    """The row as a DNF."""
    return row._replace(penalty=Penalty.DNF)
