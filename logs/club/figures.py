"""One case over some weeks: how often it was met and how it went, by week or by member."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import exp, log

import numpy as np
import pandas as pd
from scipy.special import ndtr

from logs.solves.figures.counts import mondays
from logs.stats.grid import VERY_LIKELY, PooledTimes
from logs.stats.periods import FEW
from logs.stats.pooling import CaseSums, case_design
from logs.stats.sketch import EMPTY, Sketch


@dataclass(frozen=True, slots=True)
class CaseWeekPart:
    """What is kept of one member's sightings of the case in one week.

    Attributes:
        week: Its Monday.
        member: Whose it is.
        n: Times met.
        n_looked: Those in which a look was made.
        n_one_look: Those done in one look.
        recognition: Sketch of the recognition of those done in one look and timed.
        execution: Sketch of their execution.
    """

    week: date
    member: int
    n: int
    n_looked: int
    n_one_look: int
    recognition: Sketch
    execution: Sketch


@dataclass(frozen=True, slots=True)
class Spread:
    """A median in ms, and the 10th and 90th percentile: eight times in ten lie between."""

    low_ms: float
    median_ms: float
    high_ms: float


@dataclass(frozen=True, slots=True)
class CaseFigures:
    """What some sightings of a case come to.

    Attributes:
        n_members: Members who met it.
        n: Times met.
        n_looked: Those in which a look was made.
        n_one_look: Those done in one look.
        n_timed: Those of them that are timed.
        one_look_share: Of ``n_looked``, 0..1; None below ``logs.stats.periods.FEW`` looks.
        recognition: Of ``n_timed`` times, within `logs.stats.sketch.ALPHA` of the exact one;
            None below ``FEW``, as a range of fewer is nobody's.
        execution: The same of execution.
    """

    n_members: int
    n: int
    n_looked: int
    n_one_look: int
    n_timed: int
    one_look_share: float | None
    recognition: Spread | None
    execution: Spread | None


def case_figures(parts: Iterable[CaseWeekPart]) -> CaseFigures:
    """What parts come to together: of any weeks, of any members, in any order."""
    found = list(parts)
    recognition = sum((part.recognition for part in found), EMPTY)
    execution = sum((part.execution for part in found), EMPTY)
    n_looked = sum(part.n_looked for part in found)
    n_one_look = sum(part.n_one_look for part in found)
    return CaseFigures(
        n_members=len({part.member for part in found}),
        n=sum(part.n for part in found),
        n_looked=n_looked,
        n_one_look=n_one_look,
        n_timed=recognition.n,
        one_look_share=n_one_look / n_looked if n_looked >= FEW else None,
        recognition=_spread(recognition),
        execution=_spread(execution),
    )


def case_figures_by_week(
    parts: Sequence[CaseWeekPart], *, first: date, last: date
) -> dict[date, CaseFigures]:
    """The figures of each week from ``first`` to ``last``, both Mondays, oldest first."""
    return {
        monday: case_figures(part for part in parts if part.week == monday)
        for monday in mondays(first, last)
    }


def _spread(times: Sketch) -> Spread | None:
    if times.n < FEW:
        return None
    return Spread(*(times.quantile(share) for share in (0.1, 0.5, 0.9)))


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


_LOG_1000 = log(1000)


@dataclass(frozen=True, slots=True)
class LogSums:
    """The times of one case: how many, the sum of their ln(ms), and of its squares."""

    n: int
    log_sum: float
    log_squares: float


def case_sums_of_tallies(
    sums: Mapping[str, LogSums], *, turns: Mapping[str, int] | None = None
) -> CaseSums:
    """What `logs.stats.pooling.case_sums` makes of the same times, up to rounding.

    Args:
        sums: By case; one with no time is a case that is asked for and was never timed.
        turns: As for `case_sums`.
    """
    names = tuple(sorted(sums))
    n = np.array([sums[name].n for name in names], dtype=float)
    log_sum = np.array([sums[name].log_sum for name in names], dtype=float)
    squares = np.array([sums[name].log_squares for name in names], dtype=float)
    mean = log_sum / np.maximum(n, 1)
    within = float(np.maximum(squares - log_sum * mean, 0.0).sum())
    mean = np.where(n > 0, mean - _LOG_1000, 0.0)
    return CaseSums(names, n, mean, within, case_design(names, n, turns), np.zeros(len(names)))


def estimates(pooled: PooledTimes) -> dict[str, Estimate]:
    """Mean and variance of the log time (ln ms) of each case of a pooled member."""
    mixture = pooled.log_times
    mean = mixture.weights @ mixture.means
    variance = mixture.weights @ (mixture.sds**2 + mixture.means**2) - mean**2
    return {
        case: Estimate(float(centre) + _LOG_1000, max(float(spread), 0.0))
        for case, centre, spread in zip(pooled.cases, mean, variance, strict=True)
    }


def geometric_means(sums: Mapping[str, LogSums], *, least: int) -> dict[str, float]:
    """The geometric mean in ms of each case with ``least`` times (at least 1) or more."""
    return {case: exp(one.log_sum / one.n) for case, one in sums.items() if one.n >= max(least, 1)}
