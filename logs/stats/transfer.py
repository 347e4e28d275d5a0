"""What drills say of solves: practice flatters, so the two are kept apart and the gap is shown.

Sources: Simon and Bjork 2001; Soderstrom and Bjork 2015; Shea and Morgan 1979.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.stats import ttest_ind

from logs.stats import Range

BAND = 0.90


@dataclass(frozen=True, slots=True)
class Transfer:
    """How many times as long a case takes in solves as in drills.

    Attributes:
        n_drills: Timed sightings in drills, in one look.
        n_solves: Timed sightings in solves, in one look.
        ratio: Geometric mean in solves over that in drills.
        range: Where the ratio lies; null with fewer than two of either, or without spread.
    """

    n_drills: int
    n_solves: int
    ratio: float
    range: Range | None


def transfer(drills_ms: pd.Series, solves_ms: pd.Series, *, band: float = BAND) -> Transfer | None:
    """The gap between drills and solves of one case, or None when either has no time.

    Source of the band: Welch 1947, on logs.

    Args:
        drills_ms: float64 ms above 0, any order; NaN is left out.
        solves_ms: The same of solves.
        band: How often such a band holds the truth, between 0 and 1.
    """
    drills = np.sort(np.log(drills_ms.dropna().to_numpy(dtype=float)))
    solves = np.sort(np.log(solves_ms.dropna().to_numpy(dtype=float)))
    if not drills.size or not solves.size:
        return None
    ratio = float(np.exp(solves.mean() - drills.mean()))
    if np.ptp(drills) == 0 or np.ptp(solves) == 0:  # one time alone has no spread either
        return Transfer(drills.size, solves.size, ratio, None)
    found = ttest_ind(solves, drills, equal_var=False).confidence_interval(band)
    low, high = float(np.exp(found.low)), float(np.exp(found.high))
    return Transfer(drills.size, solves.size, ratio, Range(low=low, high=high, level=band))
