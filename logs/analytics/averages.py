"""Averages as competition has them."""

from collections.abc import Sequence

import numpy as np
import pandas as pd


def average_of_5(times_ms: Sequence[float]) -> float | None:
    """The mean of the middle three of five attempts, in ms rounded to the hundredth of a second.

    Best and worst are left out; a DNF (NaN) is the worst there is, and two make the average a DNF.
    Source: WCA Regulations 9b1, 9f8, 9f9 and 9f2 (rounding).

    Returns:
        The average, or NaN for a DNF average; None with other than five attempts.
    """
    if len(times_ms) != 5:
        return None
    ordered = np.sort(np.asarray(times_ms, dtype=float))  # NaN sorts last
    middle = ordered[1:4]
    if np.isnan(middle).any():
        return float("nan")
    hundredths = np.floor(middle / 10)  # 9f1: an attempt is truncated to the hundredth
    return float(np.floor(hundredths.mean() + 0.5) * 10)


def best_single(solves: pd.DataFrame) -> float | None:
    """The fastest counted time in ms of the ``SOLVE_COLUMNS`` frame, or None."""
    times = solves["time_ms"].dropna()
    return None if times.empty else float(times.min())
