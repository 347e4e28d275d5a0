"""Sightings by case: how many, in how many looks, how long, what went wrong, what was taken up.

Times are those of `logs.stats.grid`: each case leans on the member's others as far as it must.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import datetime
from enum import StrEnum
from math import exp
from typing import Any, Final, NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd

from logs.stats.grid import HOLLOW_BELOW, pooled_times
from logs.stats.pooling import blocks_ago, case_sums

SKIP: Final = "skip"


SHOWN_SINGLY: Final = 4
"""Up to so many timed sightings of a case are shown one by one as well."""


CASE_COLUMNS: Final = (
    "case",
    "chance",
    "n",
    "n_one_look",
    "n_timed",
    "is_hollow",
    "recognition_ms",
    "recognition_low_ms",
    "recognition_high_ms",
    "is_recognition_known",
    "execution_ms",
    "execution_low_ms",
    "execution_high_ms",
    "is_execution_known",
    "stage_ms",
    "stage_low_ms",
    "stage_high_ms",
    "is_stage_known",
    "mean_ms",
    "cost_ms",
)


_SUMS: Final = {"recognition": False, "execution": True, "stage": True}
"""The times, and whether their centre follows the turns of the algorithm."""


class CaseOrder(StrEnum):
    """Orders of a case table; a raw mean is none of them, as noise picks the slowest."""

    COST = "cost"
    COUNT = "count"
    RECOGNITION = "recognition"
    EXECUTION = "execution"
    NUMBER = "number"


def case_table(
    sightings: pd.DataFrame,
    *,
    stage: str,
    chances: Mapping[str, float],
    turns: Mapping[str, int] | None = None,
    order: CaseOrder = CaseOrder.COST,
    is_one_look: bool = True,
) -> pd.DataFrame:
    """Recognition, execution and the whole stage of each case met, each with its 80 % band.

    Args:
        sightings: ``SIGHTING_COLUMNS`` frame of solves or of drills, never of both, oldest first.
        stage: ``"oll"`` or ``"pll"``.
        chances: The chance of each case in one solve, by case, in the order of their numbers.
        turns: Turns of the algorithm of each case, which execution is expected to follow.
        order: The order of the rows.
        is_one_look: Take times from sightings that went in one look, else from those that took
            more: never from both, as two looks take longer. Counts stay whole.

    Returns:
        ``CASE_COLUMNS``, one row for each case met at least once. ``n`` counts sightings,
        ``n_timed`` those done so with both times above 0, which are behind the figures; times are
        ms, those of now, NaN without one. A time ``is_..._known`` where its band is narrow enough
        to name it; ``is_hollow`` below three timed sightings. ``mean_ms`` is the mean of the whole
        stage done so, by the other cases where it never was; ``cost_ms`` the chance times that.
    """
    of_stage = sightings[sightings["stage"] == stage]
    of_stage = of_stage.assign(block=blocks_ago(len(of_stage)))
    met = of_stage[of_stage["case"].isin(list(chances))]
    counts = met.groupby("case", sort=False)["is_one_look"].agg(["size", "sum"])
    timed = _timed(met, is_one_look=is_one_look)
    table = pd.DataFrame({"case": list(map(str, counts.index))}, dtype="str")
    table["chance"] = [chances[case] for case in table["case"]]
    table["n"] = counts["size"].to_numpy(dtype="int64")
    table["n_one_look"] = counts["sum"].to_numpy(dtype="int64")
    n_timed = timed.groupby("case").size()
    table["n_timed"] = [int(n_timed.get(case, 0)) for case in table["case"]]
    table["is_hollow"] = table["n_timed"] < HOLLOW_BELOW
    by_case = timed.set_index("case")
    parts = {
        "recognition": by_case["recognition_ms"],
        "execution": by_case["execution_ms"],
        "stage": by_case["recognition_ms"] + by_case["execution_ms"],
    }
    for name, times in parts.items():
        along = turns if _SUMS[name] and is_one_look else None
        _add_times(table, name, times, along, by_case["block"].to_numpy())
    return case_order(table, order=order, cases=list(chances))


def _timed(met: pd.DataFrame, *, is_one_look: bool) -> pd.DataFrame:
    """The sightings done one way that have both times."""
    of_way = met[met["is_one_look"] == is_one_look]
    return of_way[(of_way["recognition_ms"] > 0) & (of_way["execution_ms"] > 0)]


def _add_times(
    table: pd.DataFrame,
    name: str,
    times_ms: pd.Series,
    turns: Mapping[str, int] | None,
    blocks: npt.NDArray[np.int64],
) -> None:
    """Fill the columns of one kind of time."""
    sums = case_sums(times_ms, cases=list(table["case"]), turns=turns, blocks=blocks)
    pooled = pooled_times(sums)
    columns = ("_ms", "_low_ms", "_high_ms")
    if pooled is None:
        table[[f"{name}{end}" for end in columns]] = float("nan")
        table[f"is_{name}_known"] = False
        if name == "stage":
            table[["mean_ms", "cost_ms"]] = float("nan")
        return
    is_own = (table["n_timed"] > 0).to_numpy()
    found = pooled.table().loc[table["case"]]
    for end, source in zip(columns, ("centre_ms", "low_ms", "high_ms"), strict=True):
        table[f"{name}{end}"] = np.where(is_own, found[source].to_numpy(dtype="float64"), np.nan)
    table[f"is_{name}_known"] = found["is_known"].to_numpy(dtype=bool) & is_own
    if name == "stage":
        mean = pooled.mean_times()["mean_ms"].loc[table["case"]].to_numpy(dtype="float64")
        table["mean_ms"] = mean
        table["cost_ms"] = table["chance"] * mean


def with_costs(one: pd.DataFrame, more: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Both tables with what each case costs in an average solve, one look as often as it goes in one.

    Args:
        one: A `case_table` of times in one look, by number.
        more: That of the same sightings in more looks.
    """
    share = (one["n_one_look"] + 0.5) / (one["n"] + 1)
    means = one["mean_ms"].fillna(more["mean_ms"]), more["mean_ms"].fillna(one["mean_ms"])
    cost_ms = one["chance"] * (share * means[0] + (1 - share) * means[1])
    return one.assign(cost_ms=cost_ms), more.assign(cost_ms=cost_ms)


_ORDER_COLUMNS: Final = {
    CaseOrder.COST: ("cost_ms", "is_stage_known"),
    CaseOrder.RECOGNITION: ("recognition_ms", "is_recognition_known"),
    CaseOrder.EXECUTION: ("execution_ms", "is_execution_known"),
}


def case_order(table: pd.DataFrame, *, order: CaseOrder, cases: Sequence[str]) -> pd.DataFrame:
    """The rows of a `case_table` in another order.

    By a time, the largest first; cases whose time is not known yet come after those, the one met
    most often first, as their times would only sort the noise.

    Args:
        table: ``CASE_COLUMNS``.
        order: The order.
        cases: All cases in the order of their numbers.
    """
    table = table.copy()
    table["number"] = [cases.index(case) for case in table["case"]]
    if order is CaseOrder.NUMBER:
        keys, rising = ["number"], [True]
    elif order is CaseOrder.COUNT:
        keys, rising = ["n", "number"], [False, True]
    else:
        column, known = _ORDER_COLUMNS[order]
        table["key"] = table[column].where(table[known], 0.0)
        table["unknown"] = ~table[known]
        keys, rising = ["unknown", "key", "n", "number"], [True, False, False, True]
    table = table.sort_values(keys, ascending=rising, kind="stable", ignore_index=True)
    return table[list(CASE_COLUMNS)]


def few_points(
    sightings: pd.DataFrame, table: pd.DataFrame, *, stage: str, is_one_look: bool = True
) -> pd.DataFrame:
    """The timed sightings of cases that have at most ``SHOWN_SINGLY``, one by one.

    Args:
        sightings: The frame ``table`` was made of.
        table: A `case_table` of it, made with the same ``is_one_look``.
        stage: ``"oll"`` or ``"pll"``.
        is_one_look: As for `case_table`.

    Returns:
        ``case``, ``recognition_ms``, ``execution_ms`` and ``step_ms``, in the order of
        ``sightings``.
    """
    few = table.loc[table["n_timed"] <= SHOWN_SINGLY, "case"]
    points = sightings[(sightings["stage"] == stage) & sightings["case"].isin(few)]
    points = _timed(points, is_one_look=is_one_look)
    return points[["case", "recognition_ms", "execution_ms", "step_ms"]].reset_index(drop=True)


def cases_unmet(sightings: pd.DataFrame, *, stage: str, chances: Mapping[str, float]) -> list[str]:
    """The cases of ``chances`` that have no sighting, in their order."""
    met = set(sightings.loc[sightings["stage"] == stage, "case"])
    return [case for case in chances if case not in met]


def algorithm_counts(sightings: pd.DataFrame, *, stage: str, case: str) -> list[tuple[str, int]]:
    """The algorithms used for the case in one look, most used first, with their counts."""
    met = _of_case(sightings, stage, case)
    counts = met.loc[met["is_one_look"], "algorithm"].value_counts()
    pairs = [(str(name), int(count)) for name, count in counts.items()]
    return sorted(pairs, key=lambda pair: (-pair[1], pair[0]))


def _of_case(sightings: pd.DataFrame, stage: str, case: str) -> pd.DataFrame:
    return sightings[(sightings["stage"] == stage) & (sightings["case"] == case)]


def gaps_over_share(days: float, *, mean_gap_days: float) -> float:
    """The share of gaps between two sightings of a case that last longer than ``days``.

    Chance brings cases without memory, so gaps are exponential (textbook).
    """
    return exp(-days / mean_gap_days)


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
    uses = [
        _use(group.iloc[place], is_first=is_first)
        for _, group in looked.groupby(["stage", "case"], sort=False)
        for place, is_first in _places(group)
    ]
    return sorted(uses, key=lambda use: (use.at, use.solve_id, use.stage))


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
