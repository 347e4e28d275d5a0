"""A homework before it is set, and what it may be changed to."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.core.exceptions import ValidationError

from cubecore.cases import CASES, CaseId
from logs.homework.figures import USUAL_NUMBER, Way
from logs.homework.models import Goal
from logs.limits import HOMEWORK_CASES


@dataclass(frozen=True, slots=True)
class Plan:
    """A homework before it is set.

    Attributes:
        cases: In the order to be shown, each once.
        membership_ids: The members it is for, of one club.
        way: How the cases are learnt.
        n_wanted: Clean drills, or right answers running; None where the coach is shown the case.
        goal: What solves show afterwards, a value of `Goal`.
        recognition_target_ms: The target, for a goal that has one.
        due_on: The date to learn them by, or None for none.
        note: The coach's words, or empty.
        own_cases: For members of whom only some of the cases are asked: these, by membership.
    """

    cases: tuple[CaseId, ...]
    membership_ids: tuple[int, ...]
    way: Way = Way.DRILLS
    n_wanted: int | None = USUAL_NUMBER[Way.DRILLS]
    goal: str = Goal.ONE_LOOK.value
    recognition_target_ms: int | None = None
    due_on: date | None = None
    note: str = ""
    own_cases: Mapping[int, tuple[CaseId, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Change:
    """What a homework is changed to.

    Attributes:
        cases: As in `Plan`.
        membership_ids: As in `Plan`.
        due_on: As in `Plan`.
        note: As in `Plan`.
    """

    cases: tuple[CaseId, ...]
    membership_ids: tuple[int, ...]
    due_on: date | None = None
    note: str = ""


def check_cases(cases: Sequence[CaseId]) -> None:
    """Make sure that a list of cases can be taught.

    Raises:
        ValidationError: It is empty, too long, or names a case twice.
    """
    if not cases:
        raise ValidationError("Choose at least one case.")
    if len(cases) > HOMEWORK_CASES:
        raise ValidationError(
            f"There are {len(cases)} cases; take at most {HOMEWORK_CASES} at once."
        )
    twice = [case for case in cases if cases.count(case) > 1]
    if twice:
        raise ValidationError(f"{CASES[twice[0]]} is chosen twice; keep it once.")


def check_plan(plan: Plan) -> None:
    """Make sure that a plan holds together.

    Raises:
        ValidationError: It does not.
    """
    check_cases(plan.cases)
    if (plan.goal == Goal.ONE_LOOK) != (plan.recognition_target_ms is None):
        raise ValidationError(
            "A goal on recognition needs its target in seconds; one look alone has none."
        )
    if (plan.way is Way.COACH) != (plan.n_wanted is None):
        raise ValidationError(
            "Drills and practice need a number; what is shown to the coach has none."
        )
    if any(not set(cases) <= set(plan.cases) for cases in plan.own_cases.values()):
        raise ValidationError("A member's own cases have to be among those of the homework.")
