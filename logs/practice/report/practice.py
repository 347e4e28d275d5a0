"""What there is to practise, and how much of it in a day."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from functools import cache

import pandas as pd

from clubsite.accounts.models import User
from cubecore.cases import CASES, CaseId, Stage
from cubecore.questions import Task, alike_cases
from logs.cases.facts import cases_by_code
from logs.cases.report import CaseName, name_of
from logs.practice.figures import practice_by_case
from logs.practice.selectors import (
    TAPS_A_TURN,
    answers_since,
    answers_today,
    cases_asked,
    drills_left,
    own_practice_frame,
    practice_cap,
)
from logs.stats import Range

HOMEWORK = "homework"


ABOVE, CUBE, SCRAMBLE = "above", "cube", "scramble"


VIEWS = (ABOVE, CUBE, SCRAMBLE)


class PoolKind(StrEnum):
    """What the cases of a pool have in common: ``alike`` are a case and what looks like it."""

    HOMEWORK = "homework"
    STAGE = "stage"
    FAMILY = "family"
    ALIKE = "alike"


@dataclass(frozen=True, slots=True)
class Pool:
    """Cases to be asked about.

    Attributes:
        code: Names them in addresses.
        kind: What they have in common.
        cases: The cases.
        family: Name of their family; empty where they are of several.
    """

    code: str
    kind: PoolKind
    cases: tuple[CaseId, ...]
    family: str = ""


@dataclass(frozen=True, slots=True)
class Choice:
    """What a member chose to practise.

    Attributes:
        what: The code of a `Pool`.
        task: A value of `Task`.
        view: How a case is shown, one of ``VIEWS``.
    """

    what: str = ""
    task: str = Task.CASE.value
    view: str = ABOVE


@dataclass(frozen=True, slots=True)
class Day:
    """How much of the day's practice is done.

    Attributes:
        n: Answers of today; with a cube in hand the drills of today too.
        cap: The most in a day: what coaches want turned by hand, three times that by tapping.
    """

    n: int
    cap: int

    @property
    def is_done(self) -> bool:
        """Whether that is enough for today."""
        return self.n >= self.cap


@cache
def standing_pools() -> tuple[Pool, ...]:
    """What anybody can practise: all OLLs, all PLLs, then each family."""
    families: dict[tuple[Stage, str], list[CaseId]] = {}
    for case in CASES.values():
        families.setdefault((case.id.stage, case.family), []).append(case.id)
    everything = [tuple(case for case in CASES if case.stage is stage) for stage in Stage]
    all_of = [
        Pool(stage.value, PoolKind.STAGE, cases)
        for stage, cases in zip(Stage, everything, strict=True)
    ]
    of_family = [
        Pool(f"{stage.value}.{family.replace(' ', '-')}", PoolKind.FAMILY, tuple(ids), family)
        for (stage, family), ids in families.items()
        if len(ids) > 1
    ]
    return (*all_of, *of_family)


def pool_codes() -> tuple[str, ...]:
    """What can be asked for by a code: homework, a set or family, a case and what looks like it."""
    return (HOMEWORK, *(pool.code for pool in standing_pools()), *cases_by_code())


def known_code(text: str) -> str:
    """What an address asks for; empty for what there is not."""
    return text if text in pool_codes() else ""


def homework_pool(actor: User) -> Pool | None:
    """The cases of the actor's open homework, or None where there is none."""
    cases = cases_asked(actor=actor)
    return Pool(HOMEWORK, PoolKind.HOMEWORK, cases) if cases else None


def alike_pool(code: str) -> Pool | None:
    """A case and what could be taken for it, at any angle."""
    case = cases_by_code().get(code)
    if case is None:
        return None
    alike = {other for angle in range(case.n_angles) for other in alike_cases(case, angle)}
    cases = tuple(other for other in CASES if other == case.id or other in alike)
    return Pool(code, PoolKind.ALIKE, cases)


def pool_of(actor: User, choice: Choice) -> Pool:
    """What was chosen; homework, else all OLLs, for what there is not."""
    by_code = {pool.code: pool for pool in standing_pools()}
    pool = alike_pool(choice.what) or by_code.get(choice.what)
    return pool or homework_pool(actor) or by_code[Stage.OLL.value]


def day_of(actor: User, now: datetime, *, is_turned: bool = False) -> Day:
    """How much of the actor's practice of the day is done: with a cube in hand, or by tapping."""
    cap = practice_cap(actor=actor)
    if not is_turned:
        n_taps = answers_today(actor=actor, is_turned=False, now=now)
        return Day(n_taps, TAPS_A_TURN * cap)
    return Day(cap - drills_left(actor=actor, now=now), cap)


A_ROUND = 10
"""Questions in a round."""


@dataclass(frozen=True, slots=True)
class RoundLine:
    """A case of a round.

    Attributes:
        case: The case.
        n: How often it was asked.
        n_right: How often of those it was answered rightly.
    """

    case: CaseName
    n: int
    n_right: int


@dataclass(frozen=True, slots=True)
class PracticeRound:
    """The answers of a round so far.

    Attributes:
        begun: Number of the member's last answer before it; 0 where there was none.
        n: Answers given.
        n_asked: Questions in it.
        n_right: Answers that were right.
        went_well: Cases with no wrong answer, in the order in which they were asked.
        comes_again: The others; they are asked again soon.
    """

    begun: int
    n: int
    n_asked: int
    n_right: int
    went_well: tuple[RoundLine, ...]
    comes_again: tuple[RoundLine, ...]

    @property
    def is_done(self) -> bool:
        """Whether all its questions are answered."""
        return self.n >= self.n_asked

    @property
    def place(self) -> int:
        """The number of the next question."""
        return self.n + 1


def practice_round(*, actor: User, begun: int) -> PracticeRound:
    """The round that followed the actor's answer number ``begun``."""
    answers = answers_since(actor=actor, answer_id=begun, n=A_ROUND)
    by_case: dict[CaseId, list[bool]] = {}
    for answer in answers:
        case = CaseId.read(answer.stage, answer.case)
        by_case.setdefault(case, []).append(answer.is_right)
    lines = [RoundLine(name_of(case), len(given), sum(given)) for case, given in by_case.items()]
    return PracticeRound(
        begun=begun,
        n=len(answers),
        n_asked=A_ROUND,
        n_right=sum(answer.is_right for answer in answers),
        went_well=tuple(line for line in lines if line.n_right == line.n),
        comes_again=tuple(line for line in lines if line.n_right < line.n),
    )


LOOKS_BACK = timedelta(days=28)


@dataclass(frozen=True, slots=True)
class PracticeLine:
    """How one case went in practice.

    Attributes:
        case: The case.
        n: How often it was asked.
        n_right: How often of those it was answered rightly.
        n_timed: Right answers with a time.
        median_ms: Median recognition of those, ms; null where none.
        range_ms: Where the median lies, ms; null for fewer than two.
    """

    case: CaseName
    n: int
    n_right: int
    n_timed: int
    median_ms: float | None
    range_ms: Range | None


@dataclass(frozen=True, slots=True)
class PracticeStart:
    """Where practice begins.

    Attributes:
        day: How much of today's is done.
        pools: What there is to practise, homework first if there is any.
        choice: What is chosen already.
        told: How each case was told lately.
        held: How each case was held lately.
        n_days: How many days back that goes.
    """

    day: Day
    pools: tuple[Pool, ...]
    choice: Choice
    told: tuple[PracticeLine, ...]
    held: tuple[PracticeLine, ...]
    n_days: int


def practice_start(*, actor: User, choice: Choice, now: datetime) -> PracticeStart:
    """Where the actor's practice begins, and how it went lately."""
    homework = homework_pool(actor)
    pools = (*([homework] if homework else []), *standing_pools())
    alike = alike_pool(choice.what)
    frame = own_practice_frame(member=actor, since=now - LOOKS_BACK)
    lines = practice_by_case(frame)
    return PracticeStart(
        day=day_of(actor, now),
        pools=(*([alike] if alike else []), *pools),
        choice=choice,
        told=_lines(lines, Task.CASE),
        held=_lines(lines, Task.HOLD),
        n_days=LOOKS_BACK.days,
    )


def _lines(lines: pd.DataFrame, task: Task) -> tuple[PracticeLine, ...]:
    return tuple(
        PracticeLine(
            case=name_of(CaseId.read(row["stage"], row["case"])),
            n=int(row["n"]),
            n_right=int(row["n_right"]),
            n_timed=int(row["n_timed"]),
            median_ms=row["median_ms"] if row["n_timed"] else None,
            range_ms=(
                Range(low=row["low_ms"], high=row["high_ms"], level=row["level"])
                if row["n_timed"] > 1
                else None
            ),
        )
        for row in lines[lines["task"] == task.value].to_dict("records")
    )
