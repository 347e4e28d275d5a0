"""Where the time of solves goes: the parts of a solve and their shares."""

from typing import Final

import pandas as pd

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
