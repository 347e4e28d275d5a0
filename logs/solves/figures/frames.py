"""The two frames that everything in analytics reads: their columns, dtypes, and how one is made.

Results as competition has them, and the trade's rolling averages.

Source: WCA Regulations, Articles 9b, 9f and 10e; the article numbers are cited from memory.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Any, Final

import numpy as np
import pandas as pd

from cubecore.rows import PLUS_TWO_MS
from logs.stats.distributions import Floats

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
    "step_ms": "float64",
}
"""One case met in one solve on a line, in the order of the solves, OLL before PLL.

``case`` is ``"27"``, ``"T"`` or ``"skip"``. A skip has no look: ``n_looks`` is 0, ``is_one_look``
False, ``first_outcome`` and ``algorithm`` empty. The two times are sums over the looks, NaN for
untimed solves and where the stage's goal was not reached; ``step_ms`` is how fine they were taken,
NaN where the log does not say."""


def step_of(step_ms: float) -> int | None:
    """A ``step_ms`` of a frame as reports hold it."""
    return int(step_ms) if step_ms > 0 else None


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


LONG_MS = 600_000


TRIMMED_SHARE = 0.05


@dataclass(frozen=True, slots=True)
class Result:
    """An average or a mean.

    Attributes:
        time_ms: Rounded as competition has it, ms; null for a DNF.
        is_dnf: Whether too many attempts failed.
    """

    time_ms: float | None
    is_dnf: bool


DNF: Final = Result(None, is_dnf=True)


def counted_ms(time_ms: int, *, n_plus_two: int = 0) -> float:
    """The time that an attempt counts with.

    Cut to the hundredth under ten minutes (9f1), else rounded to the second (9f2); each +2 adds
    two seconds (10e3, A6e), and several add up.

    Args:
        time_ms: The timer's reading, without penalties, at least 0.
        n_plus_two: Penalties of two seconds.
    """
    return float(_cut(np.array([time_ms]))[0]) + n_plus_two * PLUS_TWO_MS


def single(times_ms: Sequence[float]) -> Result | None:
    """The best of the attempts (9b3), or None without one.

    Args:
        times_ms: Counted times, NaN = DNF.
    """
    times = np.asarray(times_ms, dtype=float)
    if not times.size:
        return None
    if np.isnan(times).all():
        return DNF
    return Result(float(_cut(times[~np.isnan(times)].min())), is_dnf=False)


def mean_of_3(times_ms: Sequence[float]) -> Result | None:
    """The mean of three attempts, a DNF when one failed (9b2, 9f10, 9f11).

    Args:
        times_ms: Counted times, NaN = DNF. With other than three there is none.
    """
    return None if len(times_ms) != 3 else _trimmed_mean(times_ms, 0)


def average_of_5(times_ms: Sequence[float]) -> Result | None:
    """The mean of the middle three of five attempts (9b1, 9f8), one DNF being the worst (9f9).

    Args:
        times_ms: Counted times, NaN = DNF. With other than five there is none.
    """
    return None if len(times_ms) != 5 else _trimmed_mean(times_ms, 1)


def _trimmed_mean(times_ms: Sequence[float], trimmed: int) -> Result:
    values = _window_means(np.asarray(times_ms, dtype=float)[None, :], trimmed)
    return DNF if np.isnan(values[0]) else Result(float(values[0]), is_dnf=False)


def rolling_average(
    times_ms: pd.Series, *, window: int, trimmed: int | None = None
) -> pd.DataFrame:
    """The trimmed mean of the last ``window`` attempts, at each attempt.

    The best and the worst twentieth are left out, rounded up: 1 and 1 of 5 and of 12, 3 and 3 of
    50, 5 and 5 of 100. Common practice, no source; for 5 it is the competition's average.

    Args:
        times_ms: Counted times, oldest first, float64 ms, NaN = DNF.
        window: Number of attempts, at least 3.
        trimmed: How many of the best, and of the worst, are left out; the rule above when None, 0
            for means of 3 (9b2).

    Returns:
        ``average_ms`` float64, NaN while fewer than ``window`` attempts and for a DNF;
        ``is_dnf`` bool; on the index of ``times_ms``.

    Raises:
        ValueError: ``window`` is below 3.
    """
    if window < 3:
        raise ValueError(f"window is {window}: an average needs at least 3 attempts")
    times = times_ms.to_numpy(dtype=float)
    averages = np.full(times.size, np.nan)
    if times.size >= window:
        windows = np.lib.stride_tricks.sliding_window_view(times, window)
        averages[window - 1 :] = _window_means(
            windows, ceil(window * TRIMMED_SHARE) if trimmed is None else trimmed
        )
    is_dnf = np.isnan(averages) & (np.arange(times.size) >= window - 1)
    return pd.DataFrame({"average_ms": averages, "is_dnf": is_dnf}, index=times_ms.index)


def _cut(times_ms: Floats) -> Floats:
    """Each time cut to the hundredth (9f1), or from ten minutes on rounded to the second."""
    short = np.floor(times_ms / 10) * 10
    long = np.floor(times_ms / 1000 + 0.5) * 1000
    return np.asarray(np.where(times_ms < LONG_MS, short, long), dtype=float)


def _window_means(windows: Floats, trimmed: int) -> Floats:
    """The mean of each row less its ``trimmed`` best and worst, rounded; NaN for a DNF."""
    kept = np.sort(_cut(windows), axis=1)  # NaN sorts last: a DNF is the worst there is
    kept = kept[:, trimmed : windows.shape[1] - trimmed]
    # Whole hundredths add up exactly, so that a mean of x.xx5 rounds up as it must.
    hundredths = (kept / 10).sum(axis=1) / kept.shape[1]
    short = np.floor(hundredths + 0.5) * 10
    long = np.floor(hundredths / 100 + 0.5) * 1000
    return np.asarray(np.where(short < LONG_MS, short, long), dtype=float)
