"""What is asked on the wall: how each case is held, then ten times which case it is."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

from cubecore.cases import CASES, CaseId
from cubecore.questions import Task, question_about, turns_to_hold

ROUND = 10
"""Questions at the end of an evening."""


@dataclass(frozen=True, slots=True)
class WallQuestion:
    """A question to the room.

    Attributes:
        task: Whether the case is to be told, or how it is held.
        case: The case that is shown.
        angle: The angle it is shown at, quarter turns from the tables' hold.
        hold: The angle it is taught in.
        choices: What may be answered: texts of cases; or for a hold the clockwise quarter turns of
            the layer that lead to it.
    """

    task: Task
    case: CaseId
    angle: int
    hold: int
    choices: tuple[str, ...]

    @property
    def right(self) -> str:
        """The one of ``choices`` that is right."""
        if self.task is Task.CASE:
            return self.case.text
        return str(turns_to_hold(CASES[self.case], self.angle, self.hold))


def evening_questions(
    cases: Sequence[tuple[CaseId, int]], *, rng: Random
) -> tuple[WallQuestion, ...]:
    """The questions of an evening: the hold of each case that has a wrong one, then the round.

    Args:
        cases: The evening's cases in their order, each with the angle of its hold.
        rng: What draws angles, choices and the mixed order.
    """
    holds = [
        WallQuestion(
            Task.HOLD, case, rng.randrange(n), hold % n, tuple(str(turns) for turns in range(n))
        )
        for case, hold in cases
        if (n := CASES[case].n_angles) > 1
    ]
    hold_of = dict(cases)
    pool = list(hold_of)
    asked = [
        WallQuestion(
            Task.CASE,
            question.case,
            question.angle,
            hold_of[question.case] % CASES[question.case].n_angles,
            tuple(choice.text for choice in question.choices),
        )
        for question in (question_about(case, pool, rng=rng) for case in _mixed(pool, rng))
    ]
    return (*holds, *asked)


def _mixed(cases: Sequence[CaseId], rng: Random) -> Iterator[CaseId]:
    """``ROUND`` of the cases, each as often as the others and none twice running where it can be."""
    left: list[CaseId] = []
    before = None
    for _ in range(ROUND if cases else 0):
        if not left:
            left = rng.sample(cases, len(cases))
            if left[-1] == before:
                left.reverse()
        before = left.pop()
        yield before


def question_row(question: WallQuestion) -> dict[str, Any]:
    """A question as the table keeps it; `question_of` reads it."""
    return {
        "task": question.task.value,
        "stage": question.case.stage.value,
        "case": question.case.text,
        "angle": question.angle,
        "hold": question.hold,
        "choices": list(question.choices),
    }


def question_of(row: Mapping[str, Any]) -> WallQuestion:
    """The question that `question_row` wrote."""
    return WallQuestion(
        task=Task(row["task"]),
        case=CaseId.read(row["stage"], row["case"]),
        angle=row["angle"],
        hold=row["hold"],
        choices=tuple(row["choices"]),
    )
