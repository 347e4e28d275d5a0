"""One case over some weeks: how often it was met and how it went, by week or by member."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

import pandas as pd

from logs.solves.figures.counts import mondays
from logs.stats.grid import VERY_LIKELY
from logs.stats.periods import FEW
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


LATELY = 6


CLEAN_LATELY = 5
"""Who could show a case did it in one look so often in their ``LATELY`` newest looks at it."""


def teachers(rates: pd.DataFrame, *, sure: float = VERY_LIKELY) -> pd.DataFrame:
    """Who could teach whom which case.

    Args:
        rates: ``member``, ``case``, float64 ``p_one_look`` (chance that the case goes in one look
            as a rule) and int64 ``n_clean`` (of the newest ``LATELY`` looks those in one look), one
            row a member and case.
        sure: How sure one side must be of it, and the other of the opposite.

    Returns:
        ``case``, ``teacher``, ``learner``, in that order, sorted.
    """
    columns = ["case", "teacher", "learner"]
    is_able = (rates["p_one_look"] >= sure) & (rates["n_clean"] >= CLEAN_LATELY)
    able = rates[is_able].rename(columns={"member": "teacher"})
    unable = rates[rates["p_one_look"] <= 1 - sure].rename(columns={"member": "learner"})
    pairs = able[["case", "teacher"]].merge(unable[["case", "learner"]], on="case")
    return pairs[columns].sort_values(columns, ignore_index=True)
