"""What each look at the last layer gives away, for the page and the command that print it."""

from collections import defaultdict
from dataclasses import dataclass
from functools import cache

from cubecore.cases import CASES, CaseId, Stage, case_at_angle
from cubecore.cues import cue_of
from cubecore.holds import top_shape
from cubecore.information import information


@dataclass(frozen=True, slots=True)
class Left:
    """What is open after a look: bits, and how many of 100 solves are settled."""

    seen: str
    bits: float
    settled: float


@dataclass(frozen=True, slots=True)
class SharedShape:
    """A shape on top that more than one case shows.

    Attributes:
        cases: The cases, by title.
        n_stickers: The most side stickers in sight that any of them, at any angle that shows the
            shape, needs to be told from the others.
    """

    cases: tuple[str, ...]
    n_stickers: int


@dataclass(frozen=True, slots=True)
class StageInformation:
    """The figures of one stage; shapes are counted alike however they are turned."""

    stage: str
    remainders: tuple[Left, ...]
    n_shapes: int
    n_single: int
    shared: tuple[SharedShape, ...]


@cache
def information_report() -> tuple[StageInformation, ...]:
    """The figures of both stages. A PLL has one shape on top, so only OLLs have shapes to share."""
    shared, n_single = _shapes()
    return (
        StageInformation(
            Stage.OLL.value, _left(Stage.OLL), len(shared) + n_single, n_single, shared
        ),
        StageInformation(Stage.PLL.value, _left(Stage.PLL), 1, 0, ()),
    )


def _left(stage: Stage) -> tuple[Left, ...]:
    return tuple(Left(one.seen, one.bits, 100 * one.settled_share) for one in information(stage))


def _shapes() -> tuple[tuple[SharedShape, ...], int]:
    """The shapes that several OLLs share, and how many shapes are one case's own."""
    holders: dict[frozenset[frozenset[int]], set[CaseId]] = defaultdict(set)
    for case in CASES.values():
        if case.id.stage is Stage.OLL:
            turned = frozenset(top_shape(case_at_angle(case, angle)) for angle in range(4))
            holders[turned].add(case.id)
    shared = [_shared(cases) for cases in holders.values() if len(cases) > 1]
    return tuple(shared), len(holders) - len(shared)


def _shared(cases: set[CaseId]) -> SharedShape:
    ordered = [case for case in CASES if case in cases]
    most = max(
        len(cue_of(CASES[case], angle).clues)
        for case in ordered
        for angle in range(CASES[case].n_angles)
    )
    return SharedShape(tuple(str(CASES[case]) for case in ordered), most)
