"""The lines of the Progress page: analytics results as the page writes them."""

from dataclasses import dataclass
from typing import Any

import pandas as pd

from cubecore.cases import Case
from logs.analytics.cases import FEW
from logs.analytics.rates import Rate
from logs.reports.words import average, band

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
class CaseLine:
    """A case met, with its figures; times are empty dashes where nothing was timed."""

    stage: str
    number: str
    title: str
    once_in: int
    n: int
    n_one_look: int
    n_timed: int
    recognition: str
    recognition_band: str
    execution: str
    execution_band: str
    cost: str
    is_few: bool


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
    """The lines of `logs.analytics.splits.stage_shares`."""
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
    """The line of a row of `logs.analytics.cases.case_table`."""
    case = cases[row["case"]]
    is_timed = row["n_timed"] > 0
    return CaseLine(
        stage=case.id.stage.value,
        number=str(case.id.number),
        title=str(case),
        once_in=case.id.stage.chances_in // case.chance,
        n=row["n"],
        n_one_look=row["n_one_look"],
        n_timed=row["n_timed"],
        recognition=average(row["recognition_ms"] if is_timed else None),
        recognition_band=band(row["recognition_low_ms"], row["recognition_high_ms"]),
        execution=average(row["execution_ms"] if is_timed else None),
        execution_band=band(row["execution_low_ms"], row["execution_high_ms"]),
        cost=average(100 * row["cost_ms"] if is_timed else None),
        is_few=row["n_timed"] < FEW,
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
