"""Worked examples for the figures of a member's log, computed as the pages compute theirs.

The numbers that go in are invented; W1, W2c, W2d, W2e and W5 are those of the specification, which
tests/logs/analytics holds the same functions to.
"""

from collections.abc import Mapping
from datetime import UTC, date, datetime, timedelta
from typing import Final

import pandas as pd

from cubecore.cases import Stage
from logs.cases.facts import case_chances
from logs.cases.figures import EDGE_CLASSES, chance_check, expected_unmet
from logs.progress.figures.load import RISE, WEEKS_COMPARED, daily_load, week_prompt, weekly_load
from logs.progress.report.coverage import whole_pcts
from logs.progress.words import TRENDS
from logs.solves.figures.frames import average_of_5, counted_ms, rolling_average
from logs.solves.figures.standing import JEFFREYS, coverage
from logs.stats.curves import trend
from logs.stats.grid import pooled_times
from logs.stats.pooling import case_sums
from logs.stats.rates import rate
from logs.words import DNF, average, estimate

Example = Mapping[str, object]
"""The figures of a worked example by the names that its template uses: text, numbers, rows."""

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
    readings = [*FIVE_MS[:4], FIVE_MS[4]]
    counted = [
        float("nan") if ms is None else counted_ms(ms, n_plus_two=int(place == 1))
        for place, ms in enumerate(readings)
    ]
    five = average_of_5(counted)
    kept = sorted(ms for ms in counted if ms == ms)[1:]
    with_two = rolling_average(pd.Series([*counted[:4], float("nan")]), window=5)
    assert five is not None
    return {
        "times": ", ".join(DNF if ms != ms else average(ms) for ms in counted),
        "raw": average(FIVE_MS[1]),
        "plus_two": average(counted[1]),
        "kept": ", ".join(map(average, kept)),
        "average": average(five.time_ms),
        "two_dnf": DNF if bool(with_two["is_dnf"].iloc[-1]) else "",
    }


def case_times_example() -> Example:
    """Worked example W1: eight cases, from twelve times down to one."""
    index = [case for case, times in W1_TIMES_MS.items() for _ in times]
    times = pd.Series([float(ms) for some in W1_TIMES_MS.values() for ms in some], index=index)
    pooled = pooled_times(case_sums(times))
    assert pooled is not None
    rows = []
    for case, row in pooled.table().to_dict("index").items():
        time, band = estimate(row["centre_ms"], row["low_ms"], row["high_ms"])
        own = W1_TIMES_MS[str(case)]
        rows.append(
            {
                "case": case,
                "n": len(own),
                "own": average(sum(own) / len(own)),
                "time": time if row["is_known"] else "not known yet",
                "band": band,
            }
        )
    return {"rows": rows, "only": average(W1_TIMES_MS["G"][0])}


def one_look_example() -> Example:
    """Seven of ten."""
    found = rate(7, 10)
    return {"low": round(100 * found.range.low), "high": round(100 * found.range.high)}


def coverage_example() -> Example:
    """Worked example W2c: ten PLLs met, eleven never."""
    counts = pd.DataFrame(list(W2C_LOOKS.values()), columns=["n_hits", "n"], index=list(W2C_LOOKS))
    found = coverage(counts, chances=case_chances(Stage.PLL), prior=JEFFREYS)
    covered, not_covered, never_met = whole_pcts(
        (found.covered, found.not_covered, found.never_met)
    )
    mean = sum(hits / n for hits, n in W2C_LOOKS.values()) / len(W2C_LOOKS)
    return {
        "n_met": found.n_cases_met,
        "n": found.n,
        "covered": covered,
        "not_covered": not_covered,
        "never_met": never_met,
        "low": round(100 * found.low),
        "high": round(100 * found.high),
        "most": covered + never_met,
        "unweighted": round(100 * mean),
    }


def unmet_example() -> Example:
    """Worked example W2d: OLLs unmet after 50, 100 and 200 solves."""
    chances = list(case_chances(Stage.OLL).values())
    rows = []
    for n_solves in (50, 100, 200):
        found = expected_unmet(chances, n_solves=n_solves)
        rows.append(
            {
                "n": n_solves,
                "mean": f"{found.mean:.1f}",
                "sd": f"{found.sd:.1f}",
                "share": round(100 * found.share),
            }
        )
    return {"rows": rows}


def chances_example() -> Example:
    """Worked example W2e: the top edges of 200 solves."""
    check = chance_check(W2E_COUNTS)
    assert check is not None
    expected = {name: round(check.n * chance) for name, chance in EDGE_CLASSES.items()}
    return {
        "n": check.n,
        "counts": ", ".join(map(str, W2E_COUNTS.values())),
        "expected": ", ".join(map(str, expected.values())),
        "in_hundred": round(100 * check.p),
        "is_alarm": check.is_alarm,
    }


def plateau_example() -> Example:
    """Worked example W5b: one case, its last twelve and its last eight times."""
    rows = []
    for n in (12, 8):
        found = trend(W5_TIMES_MS[-n:])
        assert found is not None
        rows.append(
            {
                "n": n,
                "low": f"{100 * found.low:+.1f}",
                "high": f"{100 * found.high:+.1f}",
                "words": TRENDS[found.state],
            }
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
        "before": ", ".join(map(str, WEEK_MINUTES[:WEEKS_COMPARED])),
        "usual": f"{prompt.usual_minutes:g}",
        "limit": f"{RISE * prompt.usual_minutes:g}",
        "now": f"{prompt.minutes:g}",
        "is_shown": prompt.is_shown,
    }
