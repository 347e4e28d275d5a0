"""What the Progress page works out from a whole log, in plain values that can be kept."""

import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime
from enum import StrEnum
from typing import Any, Final
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from cubecore.cases import CASES, Case, Stage
from cubecore.results import Kind
from logs.cases.facts import case_chances, code_of, turns_by_code
from logs.cases.figures import chance_check, smoothed_chances
from logs.progress.figures.cases import (
    SKIP,
    CaseOrder,
    case_table,
    cases_unmet,
    few_points,
    first_uses,
    with_costs,
)
from logs.solves.figures.frames import rolling_average, stage_shares
from logs.solves.figures.instruments import instrument_changes
from logs.solves.figures.rates import rated, stage_coverage, stage_one_look
from logs.solves.figures.sampling import RateRows
from logs.stats.curves import case_trends
from logs.stats.distributions import Floats, median_band
from logs.stats.periods import period_unit, times_by_period

Figures = dict[str, Any]


class Form(StrEnum):
    """The forms of a result that competition has (WCA Regulations, Article 9b; from memory)."""

    SINGLE = "single"
    MEAN_OF_3 = "mean_of_3"
    AVERAGE_OF_5 = "average_of_5"


SOLVES_OF: Final = {Form.SINGLE: 1, Form.MEAN_OF_3: 3, Form.AVERAGE_OF_5: 5}


RECENT_SOLVES = 100
"""So many of the newest solves tell what is usual now."""


def table_plain(table: pd.DataFrame) -> Figures:
    """A table in plain values; NaN as None, days as ISO text."""
    plain: Figures = json.loads(
        table.to_json(orient="split", index=False, date_format="iso", double_precision=15)
    )
    return plain | {"dtypes": [str(dtype) for dtype in table.dtypes]}


def table_of(plain: Figures) -> pd.DataFrame:
    """The table that `table_plain` made plain."""
    table = pd.DataFrame(plain["data"], columns=plain["columns"])
    return table.astype(dict(zip(plain["columns"], plain["dtypes"], strict=True)))


def of_stage(stage: Stage) -> dict[str, Case]:
    """The cases of a stage by number or letters, in their order."""
    return {str(case.id.number): case for case in CASES.values() if case.id.stage is stage}


def solve_figures(solves: pd.DataFrame, zone: ZoneInfo) -> Figures:
    """Counts, results, shares and times over time.

    Args:
        solves: ``SOLVE_COLUMNS`` frame of the member, oldest first.
        zone: Says when a day begins.
    """
    is_drill = solves["kind"] == Kind.DRILL.value
    real = solves[~is_drill].reset_index(drop=True)
    shares = stage_shares(real)
    periods = times_by_period(real, zone=zone)
    return {
        "n_solves": len(real),
        "n_drills": int(is_drill.sum()),
        "n_dnf": int(real["time_ms"].isna().sum()),
        "n_dated": int(real["done_at"].notna().sum()),
        "results": [_results(real, form) for form in Form],
        "recent": _recent(real),
        "n_split": 0 if shares.empty else int(shares["n"].iloc[0]),
        "shares": table_plain(shares),
        "unit": period_unit(real, zone=zone),
        "periods": table_plain(periods.assign(start=[str(day) for day in periods["start"]])),
    }


def instrument_figures(used: Sequence[tuple[datetime | None, int, str, bool]]) -> Figures:
    """What times of turns are taken with.

    Args:
        used: Moment, number and instrument of each timed solve in the order of time, and whether
            its times count.
    """
    main = next((name for *_, name, is_main in used if is_main), None)
    changes = instrument_changes((at, number, name) for at, number, name, _ in used)
    return {
        "main": main,
        "n_unlike": sum(not is_main for *_, is_main in used),
        "changes": [change._asdict() | {"at": _instant(change.at)} for change in changes],
    }


def _results(solves: pd.DataFrame, form: Form) -> Figures:
    """The latest and the best of a form; ``solve_id`` is the last solve of each."""
    n, times, ids = SOLVES_OF[form], solves["time_ms"], solves["solve_id"].tolist()
    if form is Form.SINGLE:
        counted = np.floor(times.to_numpy(dtype=float) / 10) * 10  # cut, not rounded (9f1)
    else:
        trimmed = 0 if form is Form.MEAN_OF_3 else None  # a mean leaves none out
        rolling = rolling_average(times, window=n, trimmed=trimmed)
        counted = rolling["average_ms"].to_numpy(dtype=float)
    latest = _latest(counted, ids) if len(ids) >= n else None
    return {"form": form.value, "n": n, "latest": latest, "best": _best(counted, ids)}


def _recent(solves: pd.DataFrame) -> Figures | None:
    """The median of the newest ``RECENT_SOLVES``, a DNF being slower than any time."""
    newest = solves.iloc[-RECENT_SOLVES:]
    if newest.empty:
        return None
    found = median_band(newest["time_ms"].fillna(np.inf))
    return {
        "n": found.n,
        "n_dnf": int(newest["time_ms"].isna().sum()),
        "median_ms": _finite(found.median),
        "low_ms": _finite(found.low),
        "high_ms": _finite(found.high),
        "held": found.held,
        "solve_id": int(newest["solve_id"].iloc[-1]),
    }


def _finite(ms: float | None) -> float | None:
    return ms if ms is not None and np.isfinite(ms) else None


def _latest(times_ms: Floats, ids: list[int]) -> Figures | None:
    if not ids:
        return None
    return {
        "ms": None if np.isnan(times_ms[-1]) else float(times_ms[-1]),
        "solve_id": ids[-1],
    }


def _best(times_ms: Floats, ids: list[int]) -> Figures | None:
    if np.isnan(times_ms).all():
        return None
    place = int(np.nanargmin(times_ms))
    return {"ms": float(times_ms[place]), "solve_id": ids[place]}


def stage_figures(
    sightings: pd.DataFrame,
    stage: Stage,
    *,
    edge_steps: Sequence[str] = (),
    rows: RateRows | None = None,
) -> Figures:
    """The cases of one stage: counts, times, trends, what was taken into use.

    Args:
        sightings: ``SIGHTING_COLUMNS`` frame of the member's solves, oldest first.
        stage: OLL or PLL.
        edge_steps: For OLL, how the edges lay at each that chance drew: they tell whether the
            chances fit this member. Where they do not, cases are weighed by the member's own counts.
        rows: Which solves rates are made of; all, each for itself, when None.
    """
    rows = rows or RateRows()
    own = sightings[sightings["stage"] == stage.value]
    cases, chances = of_stage(stage), case_chances(stage)
    check = chance_check(Counter(edge_steps)) if stage is Stage.OLL else None
    if check is not None and check.is_alarm:
        counted = rated(own, rows)
        counts = {str(case): int(n) for case, n in counted["case"].value_counts().items()}
        counts[SKIP] = counts.get(SKIP, 0) - (len(counted) - len(edge_steps))  # not by chance
        chances = smoothed_chances(counts, chances=chances)  # what is left of 1 is the skip
    turns = {number: turns_by_code()[code_of(case.id)] for number, case in cases.items()}
    one_look = stage_one_look(own, rows)
    one, more = with_costs(
        *(
            case_table(
                own,
                stage=stage,
                chances=chances,
                turns=turns,
                order=CaseOrder.NUMBER,
                is_one_look=is_one_look,
            )
            for is_one_look in (True, False)
        )
    )
    tables = {}
    for name, table in (("one", one), ("more", more)):
        points = few_points(own, table, stage=stage, is_one_look=name == "one")
        tables[name] = {"table": table_plain(table), "points": table_plain(points)}
    return {
        "n_met": len(own),
        "alarm": asdict(check) if check is not None and check.is_alarm else None,
        "edge_counts": dict(Counter(edge_steps)),
        "coverage": stage_coverage(own, chances=chances, rows=rows),
        "one_look": asdict(one_look),
        "unmet": cases_unmet(own, stage=stage, chances=chances),
        "times": tables,
        "trends": [
            {"case": one.case, "since": _instant(one.since), **asdict(one.trend)}
            for one in case_trends(own, stage=stage)
        ],
        "first_uses": [use._asdict() | {"at": _instant(use.at)} for use in first_uses(own)],
    }


def _instant(at: datetime | None) -> str | None:
    return None if at is None else at.isoformat()
