"""The lines of the Progress page: analytics results as the page writes them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from cubecore.cases import Case
from logs.cases.chances import EDGE_CLASSES
from logs.cases.facts import code_of
from logs.progress.report.coverage import BAR_WIDTH, whole_pcts
from logs.progress.report.log_figures import Figures
from logs.stats.rates import Rate
from logs.words import UNKNOWN, average, band, estimate

PART_NAMES = {
    "cross": "Cross",
    "pairs": "Pairs",
    "oll_recognition": "OLL recognition",
    "oll_execution": "OLL execution",
    "pll_recognition": "PLL recognition",
    "pll_execution": "PLL execution",
    "final_auf": "Final AUF",
}


@dataclass(frozen=True, slots=True)
class ShareLine:
    """A part of the solve: its mean, its share, and where eight solves in ten lie."""

    name: str
    mean: str
    share_pct: int
    range: str


@dataclass(frozen=True, slots=True)
class TimeWords:
    """A typical time: the time and its range, or a dash and none.

    ``state`` is ``known``, ``hollow`` below three times, ``unknown`` where the range is too wide to
    name a time, ``none`` without one.
    """

    time: str
    band: str
    state: str


@dataclass(frozen=True, slots=True)
class CaseLine:
    """A case met, with its figures; ``code`` names it in addresses of lists of solves."""

    stage: str
    number: str
    code: str
    title: str
    once_in: int
    n: int
    n_one_look: int
    n_timed: int
    recognition: TimeWords
    execution: TimeWords
    cost: str


@dataclass(frozen=True, slots=True)
class UnmetLine:
    """A case that never came up."""

    stage: str
    number: str
    title: str
    once_in: int


@dataclass(frozen=True, slots=True)
class RateWords:
    """A share with its counts and its range, in per cent."""

    n_hits: int
    n: int
    pct: int
    low_pct: int
    high_pct: int


def share_lines(shares: pd.DataFrame) -> tuple[ShareLine, ...]:
    """The lines of `logs.solves.figures.frames.stage_shares`."""
    return tuple(
        ShareLine(
            name=PART_NAMES[row["part"]],
            mean=average(row["mean_ms"]),
            share_pct=round(100 * row["share"]),
            range=band(row["low_ms"], row["high_ms"]),
        )
        for row in shares.to_dict("records")
    )


def case_line(row: dict[Any, Any], cases: dict[str, Case]) -> CaseLine:
    """The line of a row of `logs.progress.figures.cases.case_table`."""
    case = cases[row["case"]]
    return CaseLine(
        stage=case.id.stage.value,
        number=str(case.id.number),
        code=code_of(case.id),
        title=str(case),
        once_in=case.id.stage.chances_in // case.chance,
        n=row["n"],
        n_one_look=row["n_one_look"],
        n_timed=row["n_timed"],
        recognition=_time_words(row, "recognition"),
        execution=_time_words(row, "execution"),
        cost=average(100 * row["cost_ms"]) if row["is_stage_known"] else "",
    )


def _time_words(row: dict[Any, Any], part: str) -> TimeWords:
    if not row["n_timed"]:
        return TimeWords(UNKNOWN, "", "none")
    time, band = estimate(*(row[f"{part}{end}"] for end in ("_ms", "_low_ms", "_high_ms")))
    if not row[f"is_{part}_known"]:
        return TimeWords("not known yet", band, "unknown")
    return TimeWords(time, band, "hollow" if row["is_hollow"] else "known")


@dataclass(frozen=True, slots=True)
class CoverageWords:
    """Coverage of a stage, three parts in whole per cents that add up to 100, and its bar."""

    covered_pct: int
    low_pct: int
    high_pct: int
    not_covered_pct: int
    never_met_pct: int
    n: int
    n_cases_met: int
    covered_width: int
    bar_end: int


def coverage_words(found: Figures | None) -> CoverageWords | None:
    """`logs.solves.figures.coverage.Coverage` as the page writes it, or None without a look."""
    if found is None:
        return None
    parts = (found["covered"], found["not_covered"], found["never_met"])
    covered, not_covered, never_met = whole_pcts(parts)
    return CoverageWords(
        covered_pct=covered,
        low_pct=round(100 * found["low"]),
        high_pct=round(100 * found["high"]),
        not_covered_pct=not_covered,
        never_met_pct=never_met,
        n=found["n"],
        n_cases_met=found["n_cases_met"],
        covered_width=round(BAR_WIDTH * found["covered"]),
        bar_end=round(BAR_WIDTH * (found["covered"] + found["not_covered"])),
    )


@dataclass(frozen=True, slots=True)
class AlarmWords:
    """Cases do not come up for this member as chance has it: how often the edges lay how."""

    n: int
    counts: tuple[tuple[str, int, int], ...]


def alarm_words(check: Figures | None, counts: Mapping[str, int]) -> AlarmWords | None:
    """Each class of edges with its count and what chance has, or None without an alarm."""
    if check is None:
        return None
    n = check["n"]
    names = {"dot": "none up", "bar": "a bar", "angle": "an angle", "oriented": "all up"}
    return AlarmWords(
        n,
        tuple(
            (names[name], counts.get(name, 0), round(n * chance))
            for name, chance in EDGE_CLASSES.items()
        ),
    )


def unmet_line(case: Case) -> UnmetLine:
    """The line of a case that never came up."""
    return UnmetLine(
        stage=case.id.stage.value,
        number=str(case.id.number),
        title=str(case),
        once_in=case.id.stage.chances_in // case.chance,
    )


def rate_words(rate: Rate) -> RateWords | None:
    """The share in words, or None where there is nothing to share."""
    if rate.share is None:
        return None
    return RateWords(
        n_hits=rate.n_hits,
        n=rate.n,
        pct=_honest_pct(rate),
        low_pct=round(100 * rate.low),
        high_pct=round(100 * rate.high),
    )


def _honest_pct(rate: Rate) -> int:
    """The share in per cent: 0 and 100 are kept for none and for all."""
    if rate.n_hits in (0, rate.n):
        return 100 * rate.n_hits // rate.n
    return min(99, max(1, round(100 * rate.n_hits / rate.n)))
