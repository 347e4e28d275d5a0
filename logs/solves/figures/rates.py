"""Rates of one stage from the rows that count for them, weighted as they were drawn."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any, Final

import numpy as np
import pandas as pd

from cubecore.cases import SKIP
from logs.solves.figures.sampling import Basis, RateRows
from logs.solves.figures.standing import HIT, MISS, RECENT, coverage, rate_prior
from logs.stats import Range
from logs.stats.design import BAND, weighted_share
from logs.stats.rates import Rate, rate

LOOK_COLUMNS: Final[Mapping[str, str]] = {
    "solve_id": "int64",
    "case": "str",
    "n_looks": "int64",
    "is_one_look": "bool",
}
"""What rates need of a stage's sightings, oldest first; any wider frame of them does too."""


def rated(own: pd.DataFrame, rows: RateRows) -> pd.DataFrame:
    """The sightings that rates are made of."""
    return own[~own["solve_id"].isin(rows.left_out)] if rows.left_out else own


def stage_one_look(own: pd.DataFrame, rows: RateRows) -> Rate:
    """How many of a stage's sightings went in one look.

    Skips are no sighting of a case and are left out; so is a sighting without a look (the solve
    ended before one was made). A misfire counts as not in one look.

    Args:
        own: ``LOOK_COLUMNS`` frame of the stage.
        rows: Which of them count, and for how much; the counts of the answer are plain ones.
    """
    looked = rated(own, rows)
    looked = looked[(looked["n_looks"] > 0) & (looked["case"] != SKIP)]
    plain = rate(int(looked["is_one_look"].sum()), len(looked))
    weighted = _weighted(looked, looked["is_one_look"], rows)
    if weighted is None:
        return plain
    share, low, high = weighted
    return Rate(plain.n_hits, plain.n, share, Range(low=low, high=high, level=BAND))


def stage_coverage(
    own: pd.DataFrame, *, chances: Mapping[str, float], rows: RateRows
) -> dict[str, Any] | None:
    """The coverage of a stage from the newest looks of each case; None of none.

    Of drawn rows it is the share that they tell of the solves they stand for: nothing of it is left
    to the theory of chances, so that no part of it was never met.

    Args:
        own: ``LOOK_COLUMNS`` frame of the stage.
        chances: Chance of each case in one solve.
        rows: Which of them count, and for how much.

    Returns:
        The fields of a `Coverage`; no ``sd`` where rows were drawn.
    """
    counted = rated(own, rows)
    looked = counted[(counted["n_looks"] > 0) & (counted["case"] != SKIP)]
    if looked.empty:
        return None
    ended = counted[(counted["n_looks"] > 0) | (counted["case"] == SKIP)]
    weighted = _weighted(ended, ended["is_one_look"] | (ended["case"] == SKIP), rows)
    if weighted is not None:
        share, low, high = weighted
        return {
            "covered": share,
            "low": low,
            "high": high,
            "not_covered": 1 - share,
            "never_met": 0.0,
            "n_cases_met": int(looked["case"].nunique()),
            "n": len(looked),
        }
    recent = looked.groupby("case").tail(RECENT)
    groups = recent.groupby("case")["is_one_look"]
    counts = pd.DataFrame({"n_hits": groups.sum(), "n": groups.size()}).astype("int64")
    looks = {str(case): "".join(HIT if hit else MISS for hit in hits) for case, hits in groups}
    return asdict(coverage(counts, chances=chances, prior=rate_prior(counts), recent=looks))


def _weighted(
    sightings: pd.DataFrame, is_hit: "pd.Series[bool]", rows: RateRows
) -> tuple[float, float, float] | None:
    """The share of hits and its two ends by the draw; None where no drawn row is among them."""
    if rows.basis is not Basis.DRAWN or rows.weights is None:
        return None
    weights = sightings["solve_id"].map(dict(rows.weights)).to_numpy(dtype=float)
    hits, is_drawn = is_hit.to_numpy(dtype=bool), ~np.isnan(weights)
    if not is_drawn.any():
        return None
    certain = int(hits[~is_drawn].sum()), int((~is_drawn).sum())
    share, span = weighted_share(hits[is_drawn], weights[is_drawn], certain=certain)
    return share, span.low, span.high
