"""Looks: what was done from the first two layers on, algorithm by algorithm.

An *excursion* leaves F2L and comes back to it; between excursions is *rest*. Excursions are joined
to one look where the book knows them as one algorithm for the case, or where no pause in the rest
is a hesitation. An excursion that turns nothing is a start taken back: no part of any algorithm.
"""

from collections.abc import Sequence
from typing import NamedTuple

from cubecore.algorithms import count_turns, normal_form, read_run, solved_by
from cubecore.book import Book
from cubecore.cases import (
    CASES,
    LAYERS,
    OLL,
    SKIP,
    TO_UP,
    CaseId,
    LastLayer,
    Stage,
    label_key,
    renamed_key,
)
from cubecore.cube import Places
from cubecore.notation import format_turns
from cubecore.outcomes import Done, Outcome, case_shown, is_goal, read_outcome
from cubecore.turns import NO_TURNS, Face, Turns, joined


class Look(NamedTuple):
    """One look.

    Attributes:
        outcome: What it did.
        case: The case it met: in the permute stage an OLL, where the layer was not oriented.
        done: Whose algorithm it was; None where the book does not have it.
        algorithm: The book's spelling when the book has it, else its outer turns, last layer up.
        start: How many turns of the solution had been made when it left F2L.
        end: How many had been made when it came back for good.
        turns: Its length in face turns (HTM), neighbours of one face counted as one.
        lining_up_turns: The AUF turns before it.
        recognition_ms: From the end of what came before to the end of the first layer turn.
        execution_ms: From there to the end of the look.
        lining_up_ms: The part of execution spent on AUF before the algorithm's first turn.
    """

    outcome: Outcome
    case: CaseId
    done: Done | None
    algorithm: str
    start: int
    end: int
    turns: int
    lining_up_turns: int
    recognition_ms: int | None
    execution_ms: int | None
    lining_up_ms: int | None

    @property
    def known(self) -> bool:
        """Whether the book has its algorithm."""
        return self.done is not None


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


# By keyword at half the cost of calling the class.
_new_look, _new_excursion, _new_done = Look.__new__, Excursion.__new__, Done.__new__
_FINISHED = Outcome.FINISHED


class LookContext(NamedTuple):
    """What looks are read from; all turn counts are of the solution.

    Attributes:
        turns: The outer turns, as they are named with the last layer up.
        layer: The last layer when F2L was first home.
        excursions: From then on, to the end.
        times: The end of each turn in ms, or None where they part no looks.
        hesitation_ms: From which pause on a rest parts two looks; None without times.
        book: The club's algorithms.
    """

    turns: Turns
    layer: LastLayer
    excursions: Sequence[Excursion]
    times: tuple[int, ...] | None
    hesitation_ms: float | None
    book: Book

    def label_at(self, turn: int) -> LastLayer:
        """The last layer after ``turn`` turns, where an excursion or F2L ended."""
        for excursion in self.excursions:
            if excursion.end == turn:
                return excursion.after
        return self.layer


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
    excursions: list[Excursion] = []
    layer, up = LAYERS[last], TO_UP[last]
    end, after = begin, label_key(renamed_key(positions[begin][layer], up))
    while (left := home.find(0, end)) >= 0:
        start, rest_from = left - 1, end
        if (end := home.find(1, left)) < 0:
            break
        before = after
        if start > rest_from:
            before = label_key(renamed_key(positions[start][layer], up))
        after = label_key(renamed_key(positions[end][layer], up))
        excursions.append(_new_excursion(Excursion, start, end, before, after))
    return excursions


def stage_looks(
    context: LookContext, stage: Stage, begin: int, layer: LastLayer
) -> tuple[list[Look], int | None]:
    """The looks of a stage that begins after ``begin`` turns with ``layer``, and its goal's turn.

    The goal is None when the solve ends before it; a look that never came back is no look.
    """
    if is_goal(stage, layer):
        return [], begin
    excursions, goal = _up_to_goal(context, stage, begin)
    if len(excursions) == 1:
        return [_look(context, stage, begin, excursions, layer, goal)], goal
    looks = []
    before = begin
    for parts in _joined(context, stage, excursions, goal):
        looks.append(_look(context, stage, before, parts, layer, goal))
        before, layer = parts[-1].end, parts[-1].after
    return looks, goal


def _up_to_goal(
    context: LookContext, stage: Stage, begin: int
) -> tuple[list[Excursion], int | None]:
    """The excursions from ``begin`` up to the goal, and the turn that reached it."""
    parts: list[Excursion] = []
    is_oll = stage is OLL
    for excursion in context.excursions:
        if excursion.start < begin:
            continue
        parts.append(excursion)
        after = excursion.after
        if (after.oll if is_oll else after.pll) == SKIP:
            return parts, excursion.end
    return parts, None


def _joined(
    context: LookContext, stage: Stage, excursions: list[Excursion], goal: int | None
) -> list[list[Excursion]]:
    """The excursions of each look."""
    if not excursions:
        return []
    tail = len(excursions) if goal is None else _book_tail(context, stage, excursions)
    looks = [excursions[:1]]
    for index, excursion in enumerate(excursions[1:], start=1):
        if index > tail or _goes_on(context, stage, looks[-1], excursion):
            looks[-1].append(excursion)
        else:
            looks.append([excursion])
    return looks


def _book_tail(context: LookContext, stage: Stage, excursions: list[Excursion]) -> int:
    """The first of ``excursions`` from which on they are one algorithm of the book, to the goal.

    Their number when there is none.
    """
    end = excursions[-1].end
    for index, excursion in enumerate(excursions[:-1]):
        entries = context.book.algorithms_in_parts(case_shown(stage, excursion.before))
        if not entries:
            continue
        turns = Turns(context.turns[excursion.start : end])
        # Most are of another length: only the others are brought to their normal form.
        if count_turns(turns) not in [entry.normal.htm for entry in entries]:
            continue
        if context.book.find_made(turns) in entries:
            return index
    return len(excursions)


def _is_taken_back(context: LookContext, parts: Sequence[Excursion]) -> list[bool]:
    """For each excursion whether it turns nothing, AUF aside."""
    return [not normal_form(Turns(context.turns[part.start : part.end])).form for part in parts]


def _goes_on(
    context: LookContext, stage: Stage, look: list[Excursion], following: Excursion
) -> bool:
    """Whether ``following`` goes on with a look: without a hesitation, or as a permutation.

    The first part of a permutation that passes through F2L breaks the orientation, so that it is
    nothing by itself, whatever the pause after it.
    """
    if not _is_parted(context, look[-1], following):
        return True
    turns = Turns(context.turns[look[0].start : following.end])
    entry = None if stage is Stage.OLL else context.book.find_made(turns)
    return entry is not None and entry.case.stage is stage and entry.is_in_parts


def _is_parted(context: LookContext, first: Excursion, second: Excursion) -> bool:
    """Whether a pause between two excursions is a hesitation; without times, always."""
    times, hesitation_ms = context.times, context.hesitation_ms
    if times is None or hesitation_ms is None:
        return True
    for turn in range(first.end, second.start + 1):
        if times[turn] - times[turn - 1] >= hesitation_ms:
            return True
    return False


def _look(
    context: LookContext,
    stage: Stage,
    before: int,
    parts: list[Excursion],
    layer: LastLayer,
    goal: int | None,
) -> Look:
    """The look of ``parts`` when, after ``before`` turns, the layer had ``layer`` itself.

    ``goal`` is the turn that reached the stage's goal, or None.
    """
    start, _, met, after = parts[0]
    end, n_taken_back = start, 0
    if len(parts) == 1:
        end = parts[0].end
        turns = Turns(context.turns[start:end])
    else:
        end, after = parts[-1].end, parts[-1].after
        turns, met, n_taken_back = _algorithm(context, parts)
    run = read_run(turns)
    case = case_shown(stage, met)
    entry = context.book.find_run(run)
    is_last = end == goal
    done = None
    if entry is None:
        text = format_turns(Turns(context.turns[start:end]))
    else:
        text = entry.text
        off = None
        if entry.case == case:
            off = 0 if is_last else _quarter_turns_off(case, met, turns)
        done = _new_done(Done, entry.case, off)
    recognition_ms = execution_ms = lining_up_ms = None
    times = context.times
    if times is not None:
        first_turn = times[before]
        recognition_ms = first_turn - (times[before - 1] if before else 0)
        execution_ms = times[end - 1] - first_turn
        lining_up_ms = times[start - 1] - first_turn if start > before else 0
    return _new_look(
        Look,
        outcome=_FINISHED if is_last else read_outcome(stage, layer, after, done),
        case=case,
        done=done,
        algorithm=text,
        start=start,
        end=end,
        turns=run.n_turns + n_taken_back,
        lining_up_turns=start - before,
        recognition_ms=recognition_ms,
        execution_ms=execution_ms,
        lining_up_ms=lining_up_ms,
    )


class _Algorithm(NamedTuple):
    """The turns of a look without those of starts taken back.

    Attributes:
        turns: The turns, last layer up.
        met: The last layer before the first of them.
        n_taken_back: How many face turns of starts were made besides.
    """

    turns: Turns
    met: LastLayer
    n_taken_back: int


def _algorithm(context: LookContext, parts: list[Excursion]) -> _Algorithm:
    """The algorithm of a look; all its turns where each part of it was taken back."""
    first, last = parts[0], parts[-1]
    taken_back = _is_taken_back(context, parts)
    if not any(taken_back) or all(taken_back):
        return _Algorithm(Turns(context.turns[first.start : last.end]), first.before, 0)
    n_taken_back, end = 0, first.start
    turns = rest = NO_TURNS
    met = first.before
    for part, is_taken_back in zip(parts, taken_back, strict=True):
        rest = joined(rest, Turns(context.turns[end : part.start]))
        excursion = Turns(context.turns[part.start : part.end])
        end = part.end
        if is_taken_back:
            n_taken_back += count_turns(excursion)
            continue
        met = met if turns else part.before
        turns = joined(turns, rest, excursion) if turns else excursion
        rest = NO_TURNS
    return _Algorithm(turns, met, n_taken_back)


def _quarter_turns_off(case: CaseId, met: LastLayer, turns: Turns) -> int:
    """By how much the hold was off from which ``turns``, an algorithm of ``case``, were made."""
    right = solved_by(turns)
    assert right is not None
    missing = (
        met.oll_angle - right.oll_angle
        if case.stage is Stage.OLL
        else (met.pll_angle or 0) - (right.pll_angle or 0)
    )
    return missing % CASES[case].n_angles


def ends_with_book_algorithm(context: LookContext, look: Look) -> bool:
    """Whether ``look``, or its last excursion, is the book's algorithm for what it met."""
    if look.done is not None and look.done.is_right:
        return True
    last = next(part for part in context.excursions if part.end == look.end)
    return context.book.find_made(Turns(context.turns[last.start : last.end])) is not None
