"""Whether a case still gets faster: a plateau is a claim of sameness and must be shown.

Two one-sided tests: Schuirmann 1987; Lakens 2017. A wide interval about zero is no plateau.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

import numpy as np
import pandas as pd
from scipy.stats import linregress
from scipy.stats import t as student

MARGIN = 0.03


BAND = 0.90


JUDGED_FROM = 8


PER = 10


class TrendState(StrEnum):
    """What the last sightings of a case say."""

    IMPROVING = "improving"
    PLATEAU = "plateau"
    SLOWING = "slowing"
    CANNOT_TELL = "cannot_tell"


@dataclass(frozen=True, slots=True)
class Trend:
    """Change of a case's times over its last sightings.

    Attributes:
        n: Sightings judged.
        low: Lower end of the 90 % interval of the share by which times change in ten sightings;
            below 0 is faster.
        high: Upper end.
        state: The verdict.
    """

    n: int
    low: float
    high: float
    state: TrendState


def trend(times_ms: Sequence[float], *, margin: float = MARGIN) -> Trend | None:
    """The trend, or None below eight sightings.

    Before it is judged, changes of algorithm or cube and the day homework was set belong on the
    time axis: a dip can be a new method (Gray and Lindstedt 2017).

    Args:
        times_ms: Times above 0 of the sightings to judge, in their order, no NaN.
        margin: A change within this share in ten sightings is none, above 0.

    Raises:
        ValueError: A time or ``margin`` is not above 0.
    """
    times = np.asarray(times_ms, dtype=float)
    if margin <= 0 or not (times > 0).all():
        raise ValueError("times_ms and margin must be above 0")
    if times.size < JUDGED_FROM:
        return None
    order, logs = np.arange(times.size, dtype=float), np.log(times)
    line = linregress(order, logs)
    se = float(line.stderr) if np.ptp(logs) > 0 else 0.0  # else 0 / 0
    reach = float(student.ppf((1 + BAND) / 2, times.size - 2)) * se
    slope = float(line.slope)
    low, high = (float(np.expm1(PER * end)) for end in (slope - reach, slope + reach))
    return Trend(
        n=times.size,
        low=low,
        high=high,
        state=_state(low, high, margin),
    )


def _state(low: float, high: float, margin: float) -> TrendState:
    if -margin < low and high < margin:
        return TrendState.PLATEAU
    if high < 0:
        return TrendState.IMPROVING
    return TrendState.SLOWING if low > 0 else TrendState.CANNOT_TELL


JUDGED = 12
"""So many of the latest sightings are judged, as in worked example W5b."""


@dataclass(frozen=True, slots=True)
class CaseTrend:
    """The trend of a case.

    Attributes:
        case: The case.
        trend: Of its latest timed one-look sightings, whole stage.
        since: When the first of them was; None where that has no date.
    """

    case: str
    trend: Trend
    since: datetime | None


def case_trends(sightings: pd.DataFrame, *, stage: str) -> list[CaseTrend]:
    """The trends of the cases with enough timed one-look sightings to judge, by case.

    Args:
        sightings: ``SIGHTING_COLUMNS`` frame of solves in the order of time.
        stage: ``"oll"`` or ``"pll"``.
    """
    timed = sightings[
        (sightings["stage"] == stage)
        & sightings["is_one_look"]
        & (sightings["recognition_ms"] > 0)
        & (sightings["execution_ms"] > 0)
    ]
    found = []
    for case, group in timed.groupby("case"):
        latest = group.tail(JUDGED)
        judged = trend((latest["recognition_ms"] + latest["execution_ms"]).tolist())
        if judged is not None:
            first = latest["done_at"].iloc[0]
            since = None if pd.isna(first) else first.to_pydatetime()
            found.append(CaseTrend(str(case), judged, since))
    return found
