"""Looks: what was done from the first two layers on, algorithm by algorithm.

An *excursion* leaves F2L and comes back to it; between excursions is *rest*. Excursions are joined
to one look where the book knows them as one algorithm for the case, or where the rest is shorter
than a hesitation.
"""

from collections.abc import Sequence
from typing import NamedTuple

from cubecore.algorithms import Algorithm, count_turns, solved_by
from cubecore.book import Book
from cubecore.cases import (
    CASES,
    SKIP,
    CaseId,
    EdgeStep,
    LastLayer,
    PermutationStep,
    Stage,
    label,
)
from cubecore.cube import Places
from cubecore.notation import format_turns
from cubecore.turns import Face, Turns
from cubecore.words import Word


class Outcome(Word):
    """What a look did to the goal of its stage."""

    FINISHED = "finished"
    EDGES = "edges"
    CORNERS = "corners"
    MISFIRE = "misfire"


class MisfireKind(Word):
    """What a misfire was, where it can be named."""

    OTHER_CASE = "other_case"
    WRONG_HOLD = "wrong_hold"


class Misfire(NamedTuple):
    """A named misfire.

    Attributes:
        kind: Another case's algorithm, or the right algorithm from a wrong hold.
        case: The case whose algorithm it was.
        quarter_turns: For a wrong hold, the AUF that was missing, in clockwise quarter turns.
    """

    kind: MisfireKind
    case: CaseId
    quarter_turns: int | None


class Look(NamedTuple):
    """One look.

    Attributes:
        outcome: What it did.
        algorithm: The book's spelling when the book has it, else its outer turns, last layer up.
        known: Whether the book has it.
        start: How many turns of the solution had been made when it left F2L.
        end: How many had been made when it came back for good.
        turns: Its length in face turns (HTM), neighbours of one face counted as one.
        lining_up_turns: The AUF turns before it.
        recognition_ms: From the end of what came before to the end of the first layer turn.
        execution_ms: From there to the end of the look.
        lining_up_ms: The part of execution spent on AUF before the algorithm's first turn.
        misfire: What a misfire was, when it can be named.
    """

    outcome: Outcome
    algorithm: str
    known: bool
    start: int
    end: int
    turns: int
    lining_up_turns: int
    recognition_ms: int | None
    execution_ms: int | None
    lining_up_ms: int | None
    misfire: Misfire | None


class Excursion(NamedTuple):
    """A stretch of turns that leaves F2L and comes back to it.

    Attributes:
        start: How many turns had been made when it left.
        end: How many when it came back.
        before: The last layer when it left.
        after: The last layer when it came back.
    """

    start: int
    end: int
    before: LastLayer
    after: LastLayer


class LookContext(NamedTuple):
    """What looks are read from; all turn counts are of the solution.

    Attributes:
        turns: The outer turns, as they are named with the last layer up.
        shown: The last layer when F2L was first home.
        excursions: From then on, to the end.
        times: The end of each turn in ms, or None.
        hesitation_ms: From which pause on a rest parts two looks; None without times.
        book: The club's algorithms.
    """

    turns: Turns
    shown: LastLayer
    excursions: Sequence[Excursion]
    times: tuple[int, ...] | None
    hesitation_ms: float | None
    book: Book

    def label_at(self, turn: int) -> LastLayer:
        """The last layer after ``turn`` turns, where an excursion or F2L ended."""
        for excursion in self.excursions:
            if excursion.end == turn:
                return excursion.after
        return self.shown

    def time_at(self, turn: int) -> int:
        """The end of the turn before, 0 at the start of the solve; needs times."""
        assert self.times is not None
        return self.times[turn - 1] if turn else 0


def find_excursions(
    positions: Sequence[Places], home: bytes, begin: int, last: Face
) -> list[Excursion]:
    """The excursions after ``begin`` turns, at which F2L is home.

    Args:
        positions: Every position from the scramble on.
        home: Byte ``t`` is 1 where F2L is home after ``t`` turns.
        begin: Where to begin.
        last: The last layer's face.
    """
    excursions = []
    end = begin
    while (left := home.find(0, end)) >= 0 and (end := home.find(1, left)) >= 0:
        before = label(positions[left - 1], last)
        excursions.append(Excursion(left - 1, end, before, label(positions[end], last)))
    return excursions


def is_goal(stage: Stage, shown: LastLayer) -> bool:
    """Whether ``shown`` is what ``stage`` works towards."""
    return (shown.oll if stage is Stage.OLL else shown.pll) == SKIP


def stage_looks(
    context: LookContext, stage: Stage, begin: int, shown: LastLayer
) -> tuple[list[Look], int | None]:
    """The looks of a stage that begins after ``begin`` turns with ``shown``, and its goal's turn.

    The goal is None when the solve ends before it; a look that never came back is no look.
    """
    if is_goal(stage, shown):
        return [], begin
    excursions, goal = _up_to_goal(context, stage, begin)
    looks = []
    before = begin
    for made in _joined(context, stage, excursions, goal):
        looks.append(_look(context, stage, before, made, shown))
        before, shown = made.end, made.after
    return looks, goal


def _up_to_goal(
    context: LookContext, stage: Stage, begin: int
) -> tuple[list[Excursion], int | None]:
    """The excursions from ``begin`` up to the goal, and the turn that reached it."""
    made: list[Excursion] = []
    for excursion in context.excursions:
        if excursion.start < begin:
            continue
        made.append(excursion)
        if is_goal(stage, excursion.after):
            return made, excursion.end
    return made, None


def _joined(
    context: LookContext, stage: Stage, excursions: list[Excursion], goal: int | None
) -> list[Excursion]:
    """The excursions, joined where they are one look."""
    if len(excursions) < 2:
        return excursions
    tail: list[Excursion] = []
    if goal is not None:
        for index, excursion in enumerate(excursions[:-1]):
            if _is_book_algorithm(context, stage, excursion, goal):
                tail = [_both(excursion, excursions[-1])]
                excursions = excursions[:index]
                break
    joined = excursions[:1]
    for excursion in excursions[1:]:
        if _is_one_look(context, stage, joined[-1], excursion):
            joined[-1] = _both(joined[-1], excursion)
        else:
            joined.append(excursion)
    return joined + tail


def _both(first: Excursion, second: Excursion) -> Excursion:
    return Excursion(first.start, second.end, first.before, second.after)


def _is_one_look(context: LookContext, stage: Stage, first: Excursion, second: Excursion) -> bool:
    """Whether F2L was left again before a hesitation; without times, whether the book knows both."""
    if context.times is None:
        return _is_book_edge_step(context, stage, _both(first, second))
    if context.hesitation_ms is None:
        return False
    return context.times[second.start] - context.time_at(first.end) < context.hesitation_ms


def _is_book_algorithm(context: LookContext, stage: Stage, excursion: Excursion, goal: int) -> bool:
    """Whether the turns up to the goal are one of the book's algorithms for the case shown."""
    case = _case_shown(stage, excursion.before)
    entries = () if case is None else context.book.algorithms(case)
    turns = Turns(context.turns[excursion.start : goal])
    # Most are of another length: only the others are brought to their normal form.
    if count_turns(turns) not in [entry.normal.htm for entry in entries]:
        return False
    return context.book.find(turns) in entries


def _is_book_edge_step(context: LookContext, stage: Stage, made: Excursion) -> bool:
    """Whether the turns are one of the book's algorithms and oriented the edges.

    So is a dot, in a log without times, that is oriented as if it were another dot.
    """
    if stage is Stage.PLL or _entry_made(context, made.start, made.end) is None:
        return False
    return _outcome(stage, made.before, made.after) is Outcome.EDGES


def _entry_made(context: LookContext, start: int, end: int) -> Algorithm | None:
    """The book's algorithm that the turns are as they were made, nothing tried and taken back."""
    turns = Turns(context.turns[start:end])
    entry = context.book.find(turns)
    return entry if entry is not None and count_turns(turns) == entry.normal.htm else None


def _case_shown(stage: Stage, shown: LastLayer) -> CaseId | None:
    number = shown.oll if stage is Stage.OLL else shown.pll
    return None if number is None else CaseId(stage, number)


def _look(
    context: LookContext, stage: Stage, before: int, made: Excursion, shown: LastLayer
) -> Look:
    """The look that was ``made`` when, after ``before`` turns, the layer had ``shown`` itself."""
    start, end, met, after = made
    turns = Turns(context.turns[start:end])
    entry = context.book.find(turns)
    outcome = _outcome(stage, shown, after)
    misfire = None
    if outcome is Outcome.MISFIRE and entry is not None:
        misfire = _name_misfire(stage, met, entry.case, turns)
    recognition_ms = execution_ms = lining_up_ms = None
    times = context.times
    if times is not None:
        first_turn = times[before]
        recognition_ms = first_turn - (times[before - 1] if before else 0)
        execution_ms = times[end - 1] - first_turn
        lining_up_ms = times[start - 1] - first_turn if start > before else 0
    return Look(
        outcome=outcome,
        algorithm=entry.text if entry else format_turns(turns),
        known=entry is not None,
        start=start,
        end=end,
        turns=count_turns(turns),
        lining_up_turns=start - before,
        recognition_ms=recognition_ms,
        execution_ms=execution_ms,
        lining_up_ms=lining_up_ms,
        misfire=misfire,
    )


def _outcome(stage: Stage, shown: LastLayer, after: LastLayer) -> Outcome:
    if is_goal(stage, after):
        return Outcome.FINISHED
    if stage is Stage.OLL:
        oriented = after.edge_step is EdgeStep.ORIENTED
        return (
            Outcome.EDGES
            if oriented and shown.edge_step is not EdgeStep.ORIENTED
            else Outcome.MISFIRE
        )
    if after.oll != SKIP or shown.oll != SKIP:
        return Outcome.MISFIRE
    if after.permutation_step is PermutationStep.NONE:
        had_corners = shown.permutation_step is PermutationStep.NONE
        return Outcome.MISFIRE if had_corners else Outcome.CORNERS
    if _only_corners(after) and not _only_corners(shown):
        return Outcome.EDGES
    return Outcome.MISFIRE


def _only_corners(shown: LastLayer) -> bool:
    """Whether the edges of an oriented layer are home to one another."""
    return shown.pll is not None and (
        shown.pll == SKIP or CASES[CaseId(Stage.PLL, shown.pll)].family == "corners only"
    )


def _name_misfire(stage: Stage, shown: LastLayer, done: CaseId, turns: Turns) -> Misfire:
    case = _case_shown(stage, shown)
    if case != done:
        return Misfire(MisfireKind.OTHER_CASE, done, None)
    right = solved_by(turns)
    assert right is not None
    missing = (
        shown.oll_angle - right.oll_angle
        if stage is Stage.OLL
        else (shown.pll_angle or 0) - (right.pll_angle or 0)
    )
    return Misfire(MisfireKind.WRONG_HOLD, done, missing % CASES[done].n_angles)
