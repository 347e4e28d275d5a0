"""Where practice begins, and how it went lately."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import pandas as pd

from cubecore.pictures import case_picture
from cubecore.questions import Task
from logs.analytics.practice import practice_by_case
from logs.reports.practice_pools import (
    Choice,
    Day,
    Pool,
    alike_pool,
    day_of,
    homework_pool,
    standing_pools,
)
from logs.reports.words import average, band, case_title, find_case
from logs.selectors.practice import own_practice_frame

if TYPE_CHECKING:
    from clubsite.accounts.models import User

LOOKS_BACK = timedelta(days=28)


@dataclass(frozen=True, slots=True)
class PracticeLine:
    """How one case went: right of asked, and the usual time of the right ones with its range."""

    stage: str
    number: str
    title: str
    picture: str
    n: int
    n_right: int
    median: str
    range: str
    n_timed: int


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


def practice_start(*, actor: "User", choice: Choice, now: datetime) -> PracticeStart:
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
            stage=row["stage"],
            number=row["case"],
            title=case_title(row["stage"], row["case"]),
            picture=_small(row["stage"], row["case"]),
            n=int(row["n"]),
            n_right=int(row["n_right"]),
            median=average(row["median_ms"]) if row["n_timed"] else "",
            range=band(row["low_ms"], row["high_ms"]) if row["n_timed"] > 1 else "",
            n_timed=int(row["n_timed"]),
        )
        for row in lines[lines["task"] == task.value].to_dict("records")
    )


def _small(stage: str, number: str) -> str:
    case = find_case(stage, number)
    return "" if case is None else case_picture(case, size=40)
