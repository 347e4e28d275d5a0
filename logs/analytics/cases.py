"""Sightings by case: how many, in how many looks, how long, and what went wrong."""

from collections import Counter
from collections.abc import Mapping
from enum import StrEnum
from typing import Final

import pandas as pd

from logs.analytics.rates import Rate, rate
from logs.analytics.robust import median_band

SKIP: Final = "skip"
FEW: Final = 3
"""Below so many timed sightings a case shows its points alone."""
SHOWN_SINGLY: Final = 4
"""Up to so many timed sightings of a case are shown one by one as well."""
CASE_COLUMNS: Final = (
    "case",
    "chance",
    "n",
    "n_one_look",
    "n_timed",
    "recognition_ms",
    "recognition_low_ms",
    "recognition_high_ms",
    "execution_ms",
    "execution_low_ms",
    "execution_high_ms",
    "stage_ms",
    "band_held",
    "cost_ms",
)


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
    order: CaseOrder = CaseOrder.COST,
    one_look_only: bool = False,
) -> pd.DataFrame:
    """Recognition and execution of each case met, as medians with their bands.

    Args:
        sightings: ``SIGHTING_COLUMNS`` frame of solves or of drills, never of both.
        stage: ``"oll"`` or ``"pll"``.
        chances: The chance of each case in one solve, by case, in the order of their numbers.
        order: The order of the rows. By a time, cases with fewer than ``FEW`` timed sightings come
            last, the one met most often first.
        one_look_only: Take times from sightings solved in one look alone; counts stay whole.

    Returns:
        ``CASE_COLUMNS``, one row for each case met at least once. ``n`` counts sightings,
        ``n_timed`` those behind the medians; times are ms, NaN without one. ``cost_ms`` is the
        chance times the median of the whole stage: what the case costs in an average solve.
    """
    met = sightings[(sightings["stage"] == stage) & sightings["case"].isin(list(chances))]
    rows = [
        _case_row(str(case), chances[str(case)], group, one_look_only=one_look_only)
        for case, group in met.groupby("case", sort=False)
    ]
    table = pd.DataFrame(rows, columns=list(CASE_COLUMNS))
    return _ordered(table, order, list(chances))


def _case_row(
    case: str, chance: float, group: pd.DataFrame, *, one_look_only: bool
) -> dict[str, object]:
    is_one_look = group["is_one_look"]
    timed = group[is_one_look] if one_look_only else group
    timed = timed.dropna(subset=["recognition_ms", "execution_ms"])
    recognition = median_band(timed["recognition_ms"])
    execution = median_band(timed["execution_ms"])
    stage = median_band(timed["recognition_ms"] + timed["execution_ms"])
    return {
        "case": case,
        "chance": chance,
        "n": len(group),
        "n_one_look": int(is_one_look.sum()),
        "n_timed": stage.n,
        "recognition_ms": recognition.median,
        "recognition_low_ms": recognition.low,
        "recognition_high_ms": recognition.high,
        "execution_ms": execution.median,
        "execution_low_ms": execution.low,
        "execution_high_ms": execution.high,
        "stage_ms": stage.median,
        "band_held": stage.held,
        "cost_ms": None if stage.median is None else chance * stage.median,
    }


_ORDER_COLUMNS: Final = {
    CaseOrder.COST: "cost_ms",
    CaseOrder.RECOGNITION: "recognition_ms",
    CaseOrder.EXECUTION: "execution_ms",
}


def _ordered(table: pd.DataFrame, order: CaseOrder, cases: list[str]) -> pd.DataFrame:
    floats = [name for name in CASE_COLUMNS if name.endswith("_ms") or name == "band_held"]
    table = table.astype(dict.fromkeys(floats, "float64"))
    table["number"] = [cases.index(case) for case in table["case"]]
    table["few"] = table["n_timed"] < FEW
    if order is CaseOrder.NUMBER:
        keys, rising = ["number"], [True]
    elif order is CaseOrder.COUNT:
        keys, rising = ["n", "number"], [False, True]
    else:
        # Among the few, the count decides: their times would only sort the noise.
        table["key"] = table[_ORDER_COLUMNS[order]].where(~table["few"], 0.0)
        keys, rising = ["few", "key", "n", "number"], [True, False, False, True]
    table = table.sort_values(keys, ascending=rising, kind="stable", ignore_index=True)
    return table[list(CASE_COLUMNS)]


def few_points(
    sightings: pd.DataFrame, table: pd.DataFrame, *, stage: str, one_look_only: bool = False
) -> pd.DataFrame:
    """The timed sightings of cases that have at most ``SHOWN_SINGLY``, one by one.

    Args:
        sightings: The frame ``table`` was made of.
        table: A `case_table` of it, made with the same ``one_look_only``.
        stage: ``"oll"`` or ``"pll"``.
        one_look_only: As for `case_table`.

    Returns:
        ``case``, ``recognition_ms`` and ``execution_ms``, in the order of ``sightings``.
    """
    few = table.loc[table["n_timed"] <= SHOWN_SINGLY, "case"]
    points = sightings[(sightings["stage"] == stage) & sightings["case"].isin(few)]
    if one_look_only:
        points = points[points["is_one_look"]]
    columns = ["case", "recognition_ms", "execution_ms"]
    return points[columns].dropna().reset_index(drop=True)


def cases_unmet(sightings: pd.DataFrame, *, stage: str, chances: Mapping[str, float]) -> list[str]:
    """The cases of ``chances`` that have no sighting, in their order."""
    met = set(sightings.loc[sightings["stage"] == stage, "case"])
    return [case for case in chances if case not in met]


def one_look_rate(sightings: pd.DataFrame, *, stage: str) -> Rate:
    """How many of the stage's sightings were solved in one look.

    Skips are no sighting of a case and are left out; so is a sighting without a look (the solve
    ended before one was made). A misfire counts as not in one look.
    """
    met = sightings[(sightings["stage"] == stage) & (sightings["case"] != SKIP)]
    looked = met.loc[met["n_looks"] > 0, "is_one_look"]
    return rate(int(looked.sum()), len(looked))


def algorithm_counts(sightings: pd.DataFrame, *, stage: str, case: str) -> list[tuple[str, int]]:
    """The algorithms used for the case in one look, most used first, with their counts."""
    met = _of_case(sightings, stage, case)
    counts = met.loc[met["is_one_look"], "algorithm"].value_counts()
    pairs = [(str(name), int(count)) for name, count in counts.items()]
    return sorted(pairs, key=lambda pair: (-pair[1], pair[0]))


def misfire_counts(sightings: pd.DataFrame, *, stage: str, case: str) -> list[tuple[str, str, int]]:
    """The case's named misfires as (kind, case whose algorithm it was, count), most first."""
    met = _of_case(sightings, stage, case)
    named = met[met["misfire_kind"] != ""]
    counts = Counter(zip(named["misfire_kind"], named["misfire_case"], strict=True))
    rows = [(str(kind), str(other), n) for (kind, other), n in counts.items()]
    return sorted(rows, key=lambda row: (-row[2], row[0], row[1]))


def _of_case(sightings: pd.DataFrame, stage: str, case: str) -> pd.DataFrame:
    return sightings[(sightings["stage"] == stage) & (sightings["case"] == case)]
