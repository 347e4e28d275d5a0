"""When a member took another algorithm of a case into use: a mark to read a dip of times by."""

from collections import Counter
from collections.abc import Sequence
from datetime import datetime
from typing import Any, NamedTuple

import pandas as pd

from logs.progress.figures.cases import SKIP

USED_FROM = 3
"""So many uses make an algorithm one that was taken up, not one that was tried."""


def taken_up(algorithms: Sequence[str]) -> list[tuple[int, str]]:
    """Where each algorithm but the first was taken up: place from 0, and its text, in order.

    An algorithm counts from its first use on if it was used at least ``USED_FROM`` times in all
    (our own rule). A dip there can be the price of a new method (Gray and Lindstedt 2017).

    Args:
        algorithms: The algorithm of each sighting in one look, oldest first; empty where none is
            known.
    """
    n_used = Counter(text for text in algorithms if text)
    kept = [text for text in dict.fromkeys(algorithms) if n_used[text] >= USED_FROM]
    return [(list(algorithms).index(text), text) for text in kept[1:]]


RUN = 3


class FirstUse(NamedTuple):
    """An algorithm taken into use for a case.

    Attributes:
        at: The moment of the first solve with it.
        solve_id: That solve.
        stage: Of the case.
        case: The case.
        algorithm: As the labels spell it.
        is_first: The case did not go in one look before; else it did, by another algorithm.
    """

    at: datetime
    solve_id: int
    stage: str
    case: str
    algorithm: str
    is_first: bool


def first_uses(sightings: pd.DataFrame) -> list[FirstUse]:
    """What was taken into use, the oldest first.

    A case that went in one look from the first sighting on was known before the log began, and is
    not among them.

    Args:
        sightings: ``SIGHTING_COLUMNS`` frame of solves in the order of time. Undated sightings,
            skips and those without a look are left out.
    """
    looked = sightings[
        (sightings["n_looks"] > 0) & (sightings["case"] != SKIP) & sightings["done_at"].notna()
    ]
    found = [
        _use(group.iloc[place], is_first=is_first)
        for _, group in looked.groupby(["stage", "case"], sort=False)
        for place, is_first in _places(group)
    ]
    return sorted(found, key=lambda use: (use.at, use.solve_id, use.stage))


def _places(group: pd.DataFrame) -> list[tuple[int, bool]]:
    """Where in a case's sightings something was taken into use, and whether it is the first."""
    hits = group["is_one_look"].tolist()
    begun = next((i for i in range(len(hits)) if hits[i : i + RUN] == [True] * RUN), 0)
    first = [(begun, True)] if not all(hits[:begun]) else []
    in_one_look = [place for place, is_hit in enumerate(hits) if is_hit]
    changes = taken_up(group["algorithm"].iloc[in_one_look].tolist())
    return first + [(in_one_look[place], False) for place, _ in changes]


def _use(row: "pd.Series[Any]", *, is_first: bool) -> FirstUse:
    return FirstUse(
        at=row["done_at"].to_pydatetime(),
        solve_id=int(row["solve_id"]),
        stage=str(row["stage"]),
        case=str(row["case"]),
        algorithm=str(row["algorithm"]),
        is_first=is_first,
    )
