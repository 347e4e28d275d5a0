"""What was taken for what in practice: kept apart from solves, and marked as practice."""

from collections import Counter
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from clubsite.accounts.models import User
from cubecore.pictures import case_picture
from cubecore.questions import Task
from logs.people.sight import ClubSight, Sight, SightedMember
from logs.practice.figures import practice_mix_ups
from logs.practice.selectors import club_practice_frame, own_practice_frame
from logs.words import case_title, find_case

PICTURE = 56


_CELL = ["task", "stage", "case", "answered"]


@dataclass(frozen=True, slots=True)
class PracticeMistake:
    """A case that was asked in practice, and what it was taken for.

    Attributes:
        stage: OLL or PLL.
        shown: The case.
        shown_title: It in words.
        shown_picture: Its picture.
        said: What it was taken for; ``shown`` itself where it was held wrongly.
        said_title: It in words.
        said_picture: Its picture, or empty for a wrong hold.
        is_wrong_hold: Whether a wrong side was put to the front.
        n_events: How often.
        n: How often it was asked so.
        pct: The rate, per cent: the middle of what it may be.
        low_pct: Lower end of its range.
        high_pct: Upper end.
        is_finding: Whether enough is known to say so.
        by: Name and how often, the most first; nobody is named on a member's own page.
    """

    stage: str
    shown: str
    shown_title: str
    shown_picture: str
    said: str
    said_title: str
    said_picture: str
    is_wrong_hold: bool
    n_events: int
    n: int
    pct: int
    low_pct: int
    high_pct: int
    is_finding: bool
    by: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class PracticeMistakes:
    """All of a page.

    Attributes:
        findings: What is known well enough to say so.
        too_few: What happened too rarely for that.
        n: Answers counted.
        membership_ids: Who is named on the lines.
    """

    findings: tuple[PracticeMistake, ...]
    too_few: tuple[PracticeMistake, ...]
    n: int
    membership_ids: list[int]


def member_practice_mistakes(*, member: Sight) -> PracticeMistakes:
    """What a member took for what in practice; ``member`` as `people.whose` found them."""
    return _mistakes(own_practice_frame(member=member.user), {})


def club_practice_mistakes(*, actor: User, view: ClubSight) -> PracticeMistakes:
    """The same of the members of a club whose logs ``actor`` may read."""
    members = {member.user_id: member for member in view.members}
    return _mistakes(club_practice_frame(actor=actor, club=view.club_row), members)


def _mistakes(answers: pd.DataFrame, members: Mapping[int, SightedMember]) -> PracticeMistakes:
    wrong = answers[~answers["is_right"]]
    by: dict[tuple[Hashable, ...], Counter[int]] = {}
    for cell, group in wrong.groupby(_CELL):
        by[cell] = Counter(member for member in group["member_id"] if member in members)
    lines = [
        _line(row, by[tuple(row[name] for name in _CELL)], members)
        for row in practice_mix_ups(answers).to_dict("records")
    ]
    return PracticeMistakes(
        findings=tuple(line for line in lines if line.is_finding),
        too_few=tuple(line for line in lines if not line.is_finding),
        n=len(answers),
        membership_ids=sorted({members[one].membership_id for few in by.values() for one in few}),
    )


def _line(
    row: Mapping[Hashable, Any], by: Counter[int], members: Mapping[int, SightedMember]
) -> PracticeMistake:
    stage, shown, said = row["stage"], row["case"], row["answered"]
    is_wrong_hold = row["task"] == Task.HOLD
    return PracticeMistake(
        stage=stage,
        shown=shown,
        shown_title=case_title(stage, shown),
        shown_picture=_picture(stage, shown),
        said=said,
        said_title=case_title(stage, said),
        said_picture="" if is_wrong_hold else _picture(stage, said),
        is_wrong_hold=is_wrong_hold,
        n_events=row["n_events"],
        n=row["n"],
        pct=round(100 * row["rate"]),
        low_pct=round(100 * row["low"]),
        high_pct=round(100 * row["high"]),
        is_finding=bool(row["is_printed"]),
        by=tuple((members[one].name, n) for one, n in by.most_common()),
    )


def _picture(stage: str, number: str) -> str:
    case = find_case(stage, number)
    return "" if case is None else case_picture(case, size=PICTURE)
