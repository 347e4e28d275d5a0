"""An algorithm as a coach talks of it: read out in triggers, measured, mirrored, undone."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from types import MappingProxyType

from cubecore.algorithms import Algorithm, prove_algorithm
from cubecore.book import Book, default_book
from cubecore.cases import CASES, Case, CaseId, Stage
from cubecore.descriptions import describe, read_out
from cubecore.notation import parse_tokens
from logs.algorithms.figures import CoachHold, held_algorithm
from logs.cases.facts import code_of
from logs.cases.report import CaseName, name_of


@dataclass(frozen=True, slots=True)
class Run:
    """A run of turns as it is read out.

    Attributes:
        text: Name of a trigger, or turns that have no name.
        is_name: Whether it is a name.
        n_turns: Written turns in it, rotations and slices each as one.
    """

    text: str
    is_name: bool
    n_turns: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AlgorithmFacts:
    """What can be told of an algorithm.

    Attributes:
        text: Turns in the normal spelling.
        runs: The algorithm read out: triggers by name, and the turns between them.
        case: The case that it solves.
        angle: Angle at which that case is held at its start, quarter turns from the tables' hold.
        n_htm: Turns in the half-turn metric: each turn of a face counts as one.
        n_qtm: Turns in the quarter-turn metric: a half turn counts as two.
        n_stm: Turns in the slice-turn metric: a slice counts as one.
        n_etm: Turns in the execution metric: each token as it is written, rotations too.
        n_wide: Wide turns among them.
        n_slices: Slice turns among them.
        n_grip_changes: Changes of grip, counted by the turns that a hand cannot follow.
        mirror: The algorithm in a mirror that swaps left and right.
        mirror_runs: The mirror read out.
        mirror_case: The case that the mirror solves.
        inverse_case: The case that the algorithm undone solves.
        other_hand: The same turns for the other hand, from the far side of the layer.
        other_hand_runs: Those turns read out.
    """

    text: str
    runs: tuple[Run, ...]
    case: CaseName
    angle: int
    n_htm: int
    n_qtm: int
    n_stm: int
    n_etm: int
    n_wide: int
    n_slices: int
    n_grip_changes: int
    mirror: str
    mirror_runs: tuple[Run, ...]
    mirror_case: CaseName
    inverse_case: CaseName
    other_hand: str
    other_hand_runs: tuple[Run, ...]


def algorithm_facts(text: str, triggers: Mapping[str, tuple[str, ...]]) -> AlgorithmFacts:
    """The facts of a proved algorithm.

    Raises:
        CubeError: ``text`` is no algorithm.
    """
    return _facts(text, tuple(triggers.items()))


@lru_cache(maxsize=4_000)
def _facts(text: str, triggers: tuple[tuple[str, tuple[str, ...]], ...]) -> AlgorithmFacts:
    proved = prove_algorithm(text)
    named = dict(triggers)
    described = describe(text, named)
    assert described.inverse_case is not None  # what is proved can be undone
    return AlgorithmFacts(
        text=proved.text,
        runs=runs_of(described.read_out, named),
        case=name_of(proved.case),
        angle=proved.angle,
        n_htm=described.metrics.htm,
        n_qtm=described.metrics.qtm,
        n_stm=described.metrics.stm,
        n_etm=described.metrics.etm,
        n_wide=described.n_wide,
        n_slices=described.n_slices,
        n_grip_changes=described.n_grip_changes,
        mirror=described.mirror,
        mirror_runs=_runs(described.mirror, named),
        mirror_case=name_of(described.mirror_case),
        inverse_case=name_of(described.inverse_case),
        other_hand=described.other_hand,
        other_hand_runs=_runs(described.other_hand, named),
    )


def _runs(text: str, triggers: Mapping[str, tuple[str, ...]]) -> tuple[Run, ...]:
    return runs_of(read_out(parse_tokens(text), triggers), triggers)


def runs_of(parts: tuple[str, ...], triggers: Mapping[str, tuple[str, ...]]) -> tuple[Run, ...]:
    """Triggers and turns in their order; turns in a row that have no name are one run."""
    runs: list[Run] = []
    for part in parts:
        if part in triggers:
            runs.append(Run(part, is_name=True, n_turns=len(triggers[part])))
        elif runs and not runs[-1].is_name:
            runs[-1] = Run(f"{runs[-1].text} {part}", is_name=False, n_turns=runs[-1].n_turns + 1)
        else:
            runs.append(Run(part, is_name=False, n_turns=1))
    return tuple(runs)


@dataclass(frozen=True, slots=True, kw_only=True)
class TaughtCase:
    """A case in the hold it is taught in: the coach's, else where the first algorithm starts.

    Attributes:
        code: The case in forms and addresses, such as ``oll-27``.
        stage: ``oll`` or ``pll``.
        number: Number of an OLL, letters of a PLL.
        title: Stage, number and everyday name.
        label: Stage and number.
        name: The everyday name; empty where there is none.
        family: The family that the tables put it in.
        once_in: It comes up once in so many solves.
        angle: Angle of the hold, quarter turns from the tables' hold.
        algorithm: The algorithm that is taught, from that hold.
        before: Its first turn, where the coach's hold puts one before the book's; else empty.
    """

    code: str
    stage: Stage
    number: str
    title: str
    label: str
    name: str
    family: str
    once_in: int
    angle: int
    algorithm: str
    before: str = ""


Holds = Mapping[CaseId, CoachHold]
NO_HOLDS: Holds = MappingProxyType({})


def taught(case: Case, book: Book | None = None, holds: Holds = NO_HOLDS) -> TaughtCase:
    """The case as it is taught.

    Args:
        case: The case.
        book: Whose first algorithm is taught; the standard one where there is none.
        holds: The coach's holds; one that does not fit the algorithm is left aside.
    """
    entries = book.algorithms(case.id) if book is not None else ()
    first = (entries or default_book().algorithms(case.id))[0]
    return _taught(case, first, holds.get(case.id))


@lru_cache(maxsize=1_000)
def _taught(case: Case, first: Algorithm, hold: CoachHold | None) -> TaughtCase:
    algorithm = held_algorithm(first, hold)
    return TaughtCase(
        code=code_of(case.id),
        stage=case.id.stage,
        number=case.id.text,
        title=str(case),
        label=str(case.id),
        name=case.name,
        family=case.family,
        once_in=case.id.stage.chances_in // case.chance,
        angle=algorithm.angle,
        algorithm=algorithm.text,
        before="" if algorithm is first or hold is None else hold.before,
    )


@cache
def families() -> tuple[tuple[str, tuple[TaughtCase, ...]], ...]:
    """All cases, by stage and family, as a form offers them."""
    groups: dict[str, list[TaughtCase]] = {}
    for stage in Stage:
        for case in CASES.values():
            if case.id.stage is stage:
                groups.setdefault(f"{stage.upper()}, {case.family}", []).append(taught(case))
    return tuple((name, tuple(cases)) for name, cases in groups.items())
