"""Worked examples for the figures of a member's log, computed as the pages compute theirs.

The numbers that go in are invented, and are those of tests/logs/stats/worked.py, which holds the
same functions to figures computed apart from them. An example is data: templates write its figures.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Final

import pandas as pd

from cubecore.cases import Stage
from logs.cases.facts import case_chances
from logs.cases.figures import EDGE_CLASSES, chance_check, expected_unmet
from logs.progress.figures.load import RISE, WEEKS_COMPARED, daily_load, week_prompt, weekly_load
from logs.progress.report.progress import TypicalTime
from logs.solves.figures.frames import average_of_5, counted_ms, rolling_average
from logs.solves.figures.standing import JEFFREYS, coverage
from logs.stats import Range
from logs.stats.curves import trend
from logs.stats.grid import BAND, pooled_times
from logs.stats.pooling import case_sums
from logs.stats.rates import rate

Example = Mapping[str, object]
"""The figures of a worked example by the names that its template uses: ``_ms`` are milliseconds,
``_share`` is 0..1, NaN a DNF."""

W1_TIMES_MS: Final = {
    "A": (1840, 2310, 1560, 2630, 1730, 2180, 1490, 2910, 1970, 2420, 1650, 2050),
    "B": (2650, 2080, 3310, 2240, 2960, 2170),
    "C": (2150, 1690, 2780, 2440),
    "D": (3620, 2490, 3080),
    "E": (1610, 2150),
    "F": (3910, 2380),
    "G": (4980,),
    "H": (1520,),
}


W2C_LOOKS: Final = {
    "T": (6, 6), "Jb": (5, 6), "Ua": (7, 7), "Ub": (6, 7), "H": (2, 2),
    "Z": (3, 3), "Y": (1, 5), "V": (0, 6), "F": (0, 4), "Ra": (0, 5),
}  # fmt: skip


W2E_COUNTS: Final = {"dot": 36, "bar": 41, "angle": 98, "oriented": 25}


W5_TIMES_MS: Final = (
    5210, 4360, 4740, 3790, 3950, 3420, 3700, 3110, 3380, 2950, 3210, 2780,
    3050, 2620, 2960, 2710, 2550, 2830, 2600, 2740, 2480, 2690, 2570, 2630,
)  # fmt: skip


FIVE_MS: Final = (12_349, 14_020, 11_870, None, 13_110)
"""Readings of a timer, the fourth a DNF."""


WEEK_MINUTES: Final = (40, 55, 35, 50, 90)


def averages_example() -> Example:
    """Five solves, one of them a DNF and one with a +2."""
    counted = [
        float("nan") if ms is None else counted_ms(ms, n_plus_two=int(place == 1))
        for place, ms in enumerate(FIVE_MS)
    ]
    five = average_of_5(counted)
    kept = sorted(ms for ms in counted if ms == ms)[1:]
    with_two = rolling_average(pd.Series([*counted[:4], float("nan")]), window=5)
    assert five is not None
    return {
        "counted_ms": counted,
        "read_ms": FIVE_MS[1],
        "plus_two_ms": counted[1],
        "kept_ms": kept,
        "average_ms": five.time_ms,
        "is_dnf_of_two": bool(with_two["is_dnf"].iloc[-1]),
    }


def case_times_example() -> Example:
    """Worked example W1: eight cases, from twelve times down to one."""
    index = [case for case, times in W1_TIMES_MS.items() for _ in times]
    times = pd.Series([float(ms) for some in W1_TIMES_MS.values() for ms in some], index=index)
    pooled = pooled_times(case_sums(times))
    assert pooled is not None
    rows = []
    for case, row in pooled.table().to_dict("index").items():
        times_ms = W1_TIMES_MS[str(case)]
        typical = TypicalTime(
            centre_ms=row["centre_ms"],
            range_ms=Range(low=row["low_ms"], high=row["high_ms"], level=BAND),
            is_known=row["is_known"],
        )
        mean_ms = sum(times_ms) / len(times_ms)
        rows.append({"case": case, "n": len(times_ms), "mean_ms": mean_ms, "typical": typical})
    return {"rows": rows, "only_ms": W1_TIMES_MS["G"][0]}


def one_look_example() -> Example:
    """Seven of ten."""
    return {"range": rate(7, 10).range}


@dataclass(frozen=True, slots=True)
class CoverageParts:
    """The parts of all solves, shares that add up to 1."""

    covered_share: float
    not_covered_share: float
    never_met_share: float


def coverage_example() -> Example:
    """Worked example W2c: ten PLLs met, eleven never."""
    counts = pd.DataFrame(list(W2C_LOOKS.values()), columns=["n_hits", "n"], index=list(W2C_LOOKS))
    parts = coverage(counts, chances=case_chances(Stage.PLL), prior=JEFFREYS)
    mean = sum(hits / n for hits, n in W2C_LOOKS.values()) / len(W2C_LOOKS)
    return {
        "n_met": parts.n_cases_met,
        "n": parts.n,
        "parts": CoverageParts(parts.covered, parts.not_covered, parts.never_met),
        "low_share": parts.low,
        "high_share": parts.high,
        "unweighted_share": mean,
    }


def unmet_example() -> Example:
    """Worked example W2d: OLLs unmet after 50, 100 and 200 solves."""
    chances = list(case_chances(Stage.OLL).values())
    rows = []
    for n_solves in (50, 100, 200):
        unmet = expected_unmet(chances, n_solves=n_solves)
        rows.append({"n": n_solves, "mean": unmet.mean, "sd": unmet.sd, "share": unmet.share})
    return {"rows": rows}


def chances_example() -> Example:
    """Worked example W2e: the top edges of 200 solves."""
    check = chance_check(W2E_COUNTS)
    assert check is not None
    expected = {name: round(check.n * chance) for name, chance in EDGE_CLASSES.items()}
    return {
        "n": check.n,
        "counts": list(W2E_COUNTS.values()),
        "expected": list(expected.values()),
        "p": check.p,
        "is_alarm": check.is_alarm,
    }


def plateau_example() -> Example:
    """Worked example W5b: one case, its last twelve and its last eight times."""
    rows = []
    for n in (12, 8):
        change = trend(W5_TIMES_MS[-n:])
        assert change is not None
        rows.append(
            {"n": n, "low_share": change.low, "high_share": change.high, "state": change.state}
        )
    return {"rows": rows}


def load_example() -> Example:
    """Five weeks, the last of them a steep rise."""
    monday = datetime(2026, 3, 2, 12, tzinfo=UTC)
    done_at = [monday + timedelta(weeks=week) for week in range(len(WEEK_MINUTES))]
    attempts = pd.DataFrame(
        {
            "done_at": pd.to_datetime(done_at, utc=True),
            "active_ms": [60_000.0 * minutes for minutes in WEEK_MINUTES],
            "n_turns": 0,
        }
    )
    daily = daily_load(attempts, zone=UTC)
    prompt = week_prompt(weekly_load(daily, until=date(2026, 3, 30)))
    assert prompt is not None
    return {
        "before_minutes": list(WEEK_MINUTES[:WEEKS_COMPARED]),
        "usual_minutes": prompt.usual_minutes,
        "limit_minutes": RISE * prompt.usual_minutes,
        "now_minutes": prompt.minutes,
        "is_shown": prompt.is_shown,
    }
