"""The chance of each case in one solve, as the tables have it."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from types import MappingProxyType

from django.db.models import Q

from cubecore.book import Book, default_book
from cubecore.cases import (
    CASES,
    SKIP,
    Case,
    CaseId,
    EdgeStep,
    LastLayer,
    PermutationStep,
    Stage,
    label,
)
from cubecore.cube import SOLVED, after_turns
from cubecore.cues import look_alike_views
from cubecore.descriptions import Description, default_triggers, describe
from cubecore.notation import parse_script
from cubecore.turns import Face, inverse, joined, layer_turn
from logs.cases.figures import CarryOver, Steps, effort_h
from logs.words import case_title, find_case


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


def case_known() -> Q:
    """Holds where ``stage`` and ``case`` name a case; a skip is none."""
    known = Q()
    for stage in Stage:
        numbers = [str(case.number) for case in CASES if case.stage is stage]
        known |= Q(stage=stage.value, case__in=numbers)
    return known


def families_of(stage: Stage) -> tuple[str, ...]:
    """The families of a set, in the order of their first case."""
    return tuple(dict.fromkeys(case.family for case in CASES.values() if case.id.stage is stage))


def all_case_titles() -> tuple[tuple[str, str], ...]:
    """Every case and both skips, as an address names it (``oll-27``) and in words."""
    titles = [(f"{case.id.stage}-{case.id.number}", str(case)) for case in CASES.values()]
    skips = [(f"{stage}-{SKIP}", case_title(stage, SKIP)) for stage in Stage]
    return (*titles, *skips)


@dataclass(frozen=True, slots=True)
class Traits:
    """What the rules must know of a case.

    Attributes:
        chance: In one solve.
        family: Its shape group.
        look_alikes: Cases that are mistaken for it, its mirror among them.
    """

    chance: float
    family: str
    look_alikes: frozenset[str] = frozenset()


TURNS_AN_HOUR = 10
"""Turns of an algorithm that an hour of learning takes in with nothing to build on: a start value."""


# The first of two looks, by what it has to do: the book's first algorithm of these cases does it.
_EDGE_LOOKS = {EdgeStep.BAR: 45, EdgeStep.ANGLE: 44, EdgeStep.DOT: 2}


_CORNER_LOOKS = {PermutationStep.ADJACENT: "T", PermutationStep.DIAGONAL: "Y"}


_BOOKS_KEPT = 64


NOTHING_LEFT = "oriented"
"""What `two_look_times` calls a step that takes no time."""


def code_of(case: CaseId) -> str:
    """The case as addresses and forms name it: ``oll-27``, ``pll-T``."""
    return f"{case.stage.value}-{case.number}"


def case_of(code: str) -> Case | None:
    """The case that a code names, or None."""
    stage, _, number = code.partition("-")
    return find_case(stage, number)


@cache
def cases_by_code() -> dict[str, Case]:
    """Every case, in the order of the tables."""
    return {code_of(case.id): case for case in CASES.values()}


def chance_of(case: Case) -> float:
    """The chance of a case in one solve."""
    return case.chance / case.id.stage.chances_in


@cache
def traits() -> dict[str, Traits]:
    """What the rules of the order must know of every case: family, chance, look-alikes, mirror."""
    return {
        code: Traits(chance_of(case), f"{case.id.stage} {case.family}", _look_alikes(case))
        for code, case in cases_by_code().items()
    }


def _first_algorithm(case: CaseId, book: Book | None) -> str:
    own = () if book is None else book.algorithms(case)
    return (own or default_book().algorithms(case))[0].text


_description = lru_cache(maxsize=2_000)(describe)


def _described(case: CaseId, book: Book | None = None) -> Description:
    """The description of the book's first algorithm for a case."""
    return _description(_first_algorithm(case, book))


def _look_alikes(case: Case) -> frozenset[str]:
    """Cases with the same shape on top (OLL) or of the same family (PLL), and the mirror."""
    others = {view for view, _ in look_alike_views(case, 0)}
    others.add(_described(case.id).mirror_case)
    return frozenset(code_of(other) for other in others if other != case.id)


@lru_cache(maxsize=_BOOKS_KEPT)
def turns_by_code(book: Book | None = None) -> dict[str, int]:
    """Face turns (HTM) of the book's first algorithm for each case."""
    return {code: _described(case.id, book).metrics.htm for code, case in cases_by_code().items()}


def hours_to_learn(code: str, one_look: Collection[str], book: Book | None = None) -> float:
    """Hours that a case takes to learn, less what carries over from those that go in one look."""
    known = set(one_look)
    triggers = {name for other in known for name in _triggers(book)[other]}
    carry = CarryOver(
        knows_trigger=bool(_triggers(book)[code] & triggers),
        knows_mirror=bool(_mirrors(book)[code] & known),
    )
    return effort_h(turns_by_code(book)[code] / TURNS_AN_HOUR, carry)


@lru_cache(maxsize=_BOOKS_KEPT)
def _triggers(book: Book | None) -> dict[str, frozenset[str]]:
    names = frozenset(default_triggers())
    return {
        code: names & set(_described(case.id, book).read_out)
        for code, case in cases_by_code().items()
    }


@lru_cache(maxsize=_BOOKS_KEPT)
def _mirrors(book: Book | None) -> dict[str, frozenset[str]]:
    """The cases that the mirror and the inverse of each case's algorithm solve."""
    found = {}
    for code, case in cases_by_code().items():
        said = _described(case.id, book)
        others = {said.mirror_case, said.inverse_case} - {None, case.id}
        found[code] = frozenset(code_of(other) for other in others if other is not None)
    return found


@lru_cache(maxsize=_BOOKS_KEPT)
def steps_by_code(book: Book | None = None) -> dict[str, Steps]:
    """The two looks that the book makes of each case: by what it shows, and by what is left.

    Of the holds from which the first look does its part, the one nearest the case's own hold.
    """
    return {code: _steps(case, book) for code, case in cases_by_code().items()}


def _steps(case: Case, book: Book | None) -> Steps:
    solved_before = after_turns(SOLVED, inverse(parse_script(case.algorithms[0]).turns))
    shown = label(solved_before)
    first = _first_look(case.id.stage, shown, book)
    left = NOTHING_LEFT
    if first is not None:
        for quarter_turns in range(4):
            auf = layer_turn(Face.U, quarter_turns)
            after = label(after_turns(solved_before, joined(auf, parse_script(first).turns)))
            if _did_its_part(case.id.stage, after):
                left = _left(case.id.stage, after)
                break
    elif case.id.stage is Stage.OLL:
        left = str(shown.corner_step)
    else:
        left = str(case.id.number)
    if case.id.stage is Stage.OLL:
        return Steps(edge=shown.edge_step.value, corner=left)
    return Steps(edge=left, corner=permutation_name(shown.permutation_step.value))


def permutation_name(step: str) -> str:
    """A corner step of PLL as `two_look_times` knows it."""
    return NOTHING_LEFT if step == PermutationStep.NONE else step


def _first_look(stage: Stage, shown: LastLayer, book: Book | None) -> str | None:
    if stage is Stage.OLL:
        number: int | str | None = _EDGE_LOOKS.get(shown.edge_step)
    else:
        number = _CORNER_LOOKS.get(shown.permutation_step)
    return None if number is None else _first_algorithm(CaseId(stage, number), book)


def _did_its_part(stage: Stage, after: LastLayer) -> bool:
    if stage is Stage.OLL:
        return after.edge_step is EdgeStep.ORIENTED
    return after.permutation_step is PermutationStep.NONE


def _left(stage: Stage, after: LastLayer) -> str:
    if stage is Stage.OLL:
        return str(after.corner_step) if after.corner_step else NOTHING_LEFT
    return NOTHING_LEFT if after.pll == "skip" else str(after.pll)
