"""What times alone tell, without a solution: penalties, and the first solves of a sitting.

A sitting ends where no solve comes for `SITTING_BREAK` (a setting of ours). The first solves of a
sitting are held against the later ones of the same sitting, so that good and bad days, and getting
faster over the months, stay out of it.
"""

from datetime import timedelta
from math import ceil, log
from typing import NamedTuple

import pandas as pd
from scipy.stats import t as student_t

from logs.stats import Range

SITTING_BREAK = timedelta(minutes=30)
FIRST = 3
"""Solves that count as the first of a sitting."""
LATER_FROM = 3
"""Later solves without which a sitting says nothing."""
SITTINGS_FROM = 5
"""Sittings from which on a difference is said."""
LEVEL = 0.80
LIKELY = 0.80


class WarmUp(NamedTuple):
    """By how much the first solves of a sitting are slower than the later ones of it.

    Attributes:
        mean_ms: Mean over sittings of the difference of the two medians, ms; negative when faster.
        range_ms: Where that mean lies (Student's t over sittings), ms.
        n_sittings: Sittings with enough solves.
    """

    mean_ms: float
    range_ms: Range
    n_sittings: int


def warm_up(solves: pd.DataFrame) -> WarmUp | None:
    """The first solves of sittings against the later ones; None with too few sittings.

    Args:
        solves: ``SOLVE_COLUMNS`` frame, oldest first; undated solves and DNFs (NaN) are left out.
    """
    counted = solves[(solves["kind"] != "drill") & solves["time_ms"].notna()]
    dated = counted[counted["done_at"].notna()].sort_values("done_at", kind="stable")
    sitting = (dated["done_at"].diff() > pd.Timedelta(SITTING_BREAK)).cumsum()
    differences = []
    for _, times in dated["time_ms"].groupby(sitting):
        if len(times) >= FIRST + LATER_FROM:
            differences.append(times.iloc[:FIRST].median() - times.iloc[FIRST:].median())
    n = len(differences)
    if n < SITTINGS_FROM:
        return None
    every = pd.Series(differences, dtype="float64")
    mean = float(every.mean())
    half = float(student_t.ppf((1 + LEVEL) / 2, n - 1) * every.std() / n**0.5)
    return WarmUp(mean, Range(low=mean - half, high=mean + half, level=LEVEL), n)


def solves_until(chance: float, *, likely: float = LIKELY) -> int:
    """After how many solves something of ``chance`` each has come up with probability ``likely``.

    The geometric distribution: the least n with 1 - (1 - chance)^n at least ``likely``.
    """
    return ceil(log(1 - likely) / log(1 - chance))
