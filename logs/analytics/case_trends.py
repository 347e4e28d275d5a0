"""Whether each case still gets faster: `logs.analytics.plateaus` over the latest sightings of each."""

from dataclasses import dataclass
from datetime import datetime

import pandas as pd

from logs.analytics.plateaus import Trend, trend

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
