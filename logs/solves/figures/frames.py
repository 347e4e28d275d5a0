"""The two frames that everything in analytics reads: their columns, dtypes, and how one is made."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

import pandas as pd

SOLVE_COLUMNS: Mapping[str, str] = {
    "solve_id": "int64",
    "done_at": "datetime64[ns, UTC]",
    "status": "str",
    "kind": "str",
    "time_ms": "float64",
    "cross_ms": "float64",
    "f2l_ms": "float64",
    "oll_recognition_ms": "float64",
    "oll_execution_ms": "float64",
    "pll_recognition_ms": "float64",
    "pll_execution_ms": "float64",
    "final_auf_ms": "float64",
}
"""One solve or drill on a line, oldest first, undated ones before all others.

``time_ms`` is the counted time: 2,000 ms on top for a +2, NaN for a DNF. ``kind`` is ``solve``,
``drill``, or empty for a row without a solution. Splits are NaN, ``done_at`` NaT, where the log
does not tell."""


SIGHTING_COLUMNS: Mapping[str, str] = {
    "sighting_id": "int64",
    "solve_id": "int64",
    "done_at": "datetime64[ns, UTC]",
    "stage": "str",
    "case": "str",
    "angle": "int64",
    "is_one_look": "bool",
    "n_looks": "int64",
    "first_outcome": "str",
    "recognition_ms": "float64",
    "execution_ms": "float64",
    "algorithm": "str",
    "misfire_kind": "str",
    "misfire_case": "str",
}
"""One case met in one solve on a line, in the order of the solves, OLL before PLL.

``case`` is ``"27"``, ``"T"`` or ``"skip"``. A skip has no look: ``n_looks`` is 0, ``is_one_look``
False, ``first_outcome`` and ``algorithm`` empty. The two times are sums over the looks, NaN for
untimed solves and where the stage's goal was not reached."""


def build_frame(columns: Mapping[str, str], rows: Iterable[Sequence[Any]]) -> pd.DataFrame:
    """The frame of ``rows``, with exactly ``columns`` and their dtypes, also for no rows.

    Args:
        columns: Name to dtype, in the order of the values of a row.
        rows: Values; None where there is none (float64 and datetime columns alone).
    """
    values: list[Sequence[Any]] = list(zip(*rows, strict=True))
    values = values or [()] * len(columns)
    return pd.DataFrame(
        {
            name: pd.Series(value, dtype=dtype)
            for (name, dtype), value in zip(columns.items(), values, strict=True)
        }
    )


PARTS: Final = (
    "cross",
    "pairs",
    "oll_recognition",
    "oll_execution",
    "pll_recognition",
    "pll_execution",
    "final_auf",
)


SHARE_COLUMNS: Final = ("part", "mean_ms", "share", "low_ms", "high_ms", "n")


def split_frame(solves: pd.DataFrame) -> pd.DataFrame:
    """The parts of each solve that has every split, in ms; together they are its turning time.

    Args:
        solves: ``SOLVE_COLUMNS`` frame, any order. Only solves that counted are used: drills,
            DNFs and solves without every split are left out, never filled in.

    Returns:
        One row a solve on the index of ``solves``, one float64 column for each of ``PARTS``.
    """
    counted = solves[(solves["kind"] == "solve") & solves["time_ms"].notna()]
    parts = pd.DataFrame(
        {
            "cross": counted["cross_ms"],
            "pairs": counted["f2l_ms"] - counted["cross_ms"],
            "oll_recognition": counted["oll_recognition_ms"],
            "oll_execution": counted["oll_execution_ms"],
            "pll_recognition": counted["pll_recognition_ms"],
            "pll_execution": counted["pll_execution_ms"],
            "final_auf": counted["final_auf_ms"],
        },
        columns=list(PARTS),
        dtype="float64",
    )
    return parts.dropna()


def stage_shares(solves: pd.DataFrame) -> pd.DataFrame:
    """What each part takes of a solve, on average.

    Args:
        solves: As for `split_frame`.

    Returns:
        ``SHARE_COLUMNS``, one row for each of ``PARTS`` in their order: mean in ms, share of the
        turning time (0..1, adding up to 1), the 10th and 90th percentile (eight solves in ten lie
        between them) and the number of solves. No rows when no solve has every split.
    """
    parts = split_frame(solves)
    total = float(parts.to_numpy().sum())
    if parts.empty or total == 0:
        return pd.DataFrame(columns=list(SHARE_COLUMNS))
    shares = pd.DataFrame(
        {
            "part": list(PARTS),
            "mean_ms": parts.mean().to_numpy(),
            "share": (parts.sum() / total).to_numpy(),
            "low_ms": parts.quantile(0.1).to_numpy(),
            "high_ms": parts.quantile(0.9).to_numpy(),
        }
    )
    shares["n"] = len(parts)
    return shares
