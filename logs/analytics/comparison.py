"""Members side by side on shape, not speed: where each is slow for their own speed."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import ndtr

from logs.analytics.words import VERY_LIKELY

SWEEPS = 200
_CLOSE = 1e-12


def shape_index(centres_ms: pd.Series, *, own_times_ms: pd.Series) -> pd.Series:
    """How slow each case is for the member's own speed, 1.19 being 19 % slower; index by case.

    Args:
        centres_ms: Shrunk time of each case, float64 ms above 0, indexed by case.
        own_times_ms: All of the member's times of the kind, ms above 0; NaN is left out.

    Returns:
        float64 on the index of ``centres_ms``; empty for a member without a time.
    """
    own = np.sort(own_times_ms.dropna().to_numpy(dtype=float))
    if not own.size:
        return pd.Series(dtype="float64")
    return centres_ms / float(np.exp(np.median(np.log(own))))


@dataclass(frozen=True, slots=True, eq=False)
class TwoWayFit:
    """Times as overall x member x case x residual.

    Attributes:
        overall_ms: The common value.
        members: Factor of each member, 1 being usual.
        cases: Factor of each case.
        residuals: What neither explains: above 1 the case is slow for this member's speed. NaN
            where the member has no time.
    """

    overall_ms: float
    members: pd.Series
    cases: pd.Series
    residuals: pd.DataFrame


def two_way_fit(times_ms: pd.DataFrame, *, sweeps: int = SWEEPS) -> TwoWayFit | None:
    """The fit by median polish of the logs, rows first (Tukey 1977); None without a time.

    Written here: the general libraries at hand have no median polish.

    Args:
        times_ms: Members by cases, float64 ms above 0 (shrunk times); NaN where a member has none.
            A member or case without any time is left out.
        sweeps: Stop after so many, should the medians not have come to rest.
    """
    kept = times_ms.dropna(how="all").dropna(how="all", axis=1)
    if kept.empty:
        return None
    rest = np.log(kept.to_numpy(dtype=float))
    overall, members, cases = 0.0, np.zeros(rest.shape[0]), np.zeros(rest.shape[1])
    for _ in range(sweeps):
        rows = np.nanmedian(rest, axis=1)
        rest, members = rest - rows[:, None], members + rows
        columns = np.nanmedian(rest, axis=0)
        rest, cases = rest - columns, cases + columns
        if max(np.abs(rows).max(), np.abs(columns).max()) < _CLOSE:
            break
    overall = float(np.median(members) + np.median(cases))
    return TwoWayFit(
        overall_ms=float(np.exp(overall)),
        members=pd.Series(np.exp(members - np.median(members)), index=kept.index),
        cases=pd.Series(np.exp(cases - np.median(cases)), index=kept.columns),
        residuals=pd.DataFrame(np.exp(rest), index=kept.index, columns=kept.columns),
    )


@dataclass(frozen=True, slots=True)
class Estimate:
    """A log time with its variance."""

    log_time: float
    variance: float


def probability_faster(first: Estimate, second: Estimate) -> float:
    """The chance that the first is the faster one: ``Phi(D / sqrt(v1 + v2))``; 0.5 for no gap."""
    gap = second.log_time - first.log_time
    sd = float(np.sqrt(first.variance + second.variance))
    if sd == 0:
        return 0.5 + 0.5 * float(np.sign(gap))
    return float(ndtr(gap / sd))


def is_faster(first: Estimate, second: Estimate) -> bool:
    """Whether "faster than" may be said: at a probability of 0.90 or more."""
    return probability_faster(first, second) >= VERY_LIKELY


def teachers(rates: pd.DataFrame, *, sure: float = VERY_LIKELY) -> pd.DataFrame:
    """Who could teach whom which case.

    Args:
        rates: ``member``, ``case``, float64 ``p_one_look`` (chance that the case goes in one look
            as a rule), one row a member and case.
        sure: How sure one side must be of it, and the other of the opposite.

    Returns:
        ``case``, ``teacher``, ``learner``, in that order, sorted.
    """
    columns = ["case", "teacher", "learner"]
    able = rates[rates["p_one_look"] >= sure].rename(columns={"member": "teacher"})
    unable = rates[rates["p_one_look"] <= 1 - sure].rename(columns={"member": "learner"})
    pairs = able[["case", "teacher"]].merge(unable[["case", "learner"]], on="case")
    return pairs[columns].sort_values(columns, ignore_index=True)
