"""Where a member is slow for their own speed: times as overall x member x case x what is left."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from cubecore.book import default_book
from cubecore.cases import CASES, Stage
from cubecore.notation import count_metrics, parse_tokens
from logs.club.figures import (
    Estimate,
    LogSums,
    case_sums_of_tallies,
    estimates,
    geometric_means,
    probability_faster,
    two_way_fit,
)
from logs.club.report.standings import execution_sums, recognition_sums
from logs.people.report.members import SightedMember
from logs.solves.figures.standing import FLUENT_FROM
from logs.solves.models.tallies import CaseTally
from logs.stats.grid import pooled_times
from logs.stats.likelihood import LIKELY, likelihood

Tallies = Mapping[int, "Mapping[str, CaseTally]"]
"""Case tallies of one stage, by account and case."""


OwnEstimates = Mapping[int, Mapping[str, Estimate]]


NOTEWORTHY = 0.10
"""A case is named from a tenth slower than expected on."""


@dataclass(frozen=True, slots=True)
class SlowCell:
    """A member at a case, against what their speed and the case would have them take.

    Attributes:
        percent: Slower (above 0) or faster (below) by so many per cent.
        n: Timed one-look sightings behind it.
        p_slower: The chance that it is slow for their own speed.
    """

    percent: int
    n: int
    p_slower: float

    @property
    def signed(self) -> str:
        """The per cent with its sign: ``+19%``, ``−4%``, ``0%``."""  # noqa: RUF002 - a minus
        sign = "+" if self.percent > 0 else "\N{MINUS SIGN}" if self.percent < 0 else ""
        return f"{sign}{abs(self.percent)}%"

    @property
    def level(self) -> str:
        """``slow`` or ``quick`` where that is at least likely and a tenth or more, else ``even``."""
        if self.percent >= 100 * NOTEWORTHY and self.p_slower >= LIKELY:
            return "slow"
        return (
            "quick" if self.percent <= -100 * NOTEWORTHY and 1 - self.p_slower >= LIKELY else "even"
        )


@dataclass(frozen=True, slots=True)
class SlowLine:
    """A case with a cell for each member, None where they have no time of it."""

    number: str
    title: str
    cells: tuple[SlowCell | None, ...]


@dataclass(frozen=True, slots=True)
class SlowFinding:
    """A case that is at least likely slow for a member's own speed."""

    name: str
    number: str
    title: str
    percent: int
    n: int
    words: str


def slow_lines(
    chosen: Sequence[SightedMember], tallies: Tallies, *, stage: Stage, is_execution: bool
) -> tuple[SlowLine, ...]:
    """Every case of which at least two members of the club, and one chosen, have times.

    The chosen members' times are shrunk; the rest of the club, geometric means of at least
    ``FLUENT_FROM`` sightings, tells how long a case takes for anybody.

    Args:
        chosen: The members to compare.
        tallies: Of everybody whose log the reader may open.
        stage: The set of cases.
        is_execution: Execution rather than recognition.
    """
    own = _own_estimates(chosen, tallies, stage=stage, is_execution=is_execution)
    fit = two_way_fit(_times(own, tallies, is_execution=is_execution))
    if fit is None:
        return ()
    lines = []
    for case in (case for case in CASES.values() if case.id.stage is stage):
        number = str(case.id.number)
        if number not in fit.residuals.columns:
            continue
        cells = tuple(
            _slow_cell(one.user_id, number, fit.residuals, own, tallies) for one in chosen
        )
        if any(cells):
            lines.append(SlowLine(number, str(case), cells))
    return tuple(lines)


def _sums(tallies: Mapping[str, CaseTally], *, is_execution: bool) -> dict[str, LogSums]:
    sums = execution_sums(tallies) if is_execution else recognition_sums(tallies)
    return {case: one for case, one in sums.items() if one.n}


def _own_estimates(
    chosen: Sequence[SightedMember], tallies: Tallies, *, stage: Stage, is_execution: bool
) -> OwnEstimates:
    """The shrunk log times of each chosen member, by account and case."""
    turns = _turns(stage) if is_execution else None
    own = {}
    for one in chosen:
        sums = _sums(tallies.get(one.user_id, {}), is_execution=is_execution)
        pooled = pooled_times(case_sums_of_tallies(sums, turns=turns)) if sums else None
        own[one.user_id] = {} if pooled is None else estimates(pooled)
    return own


def _times(own: OwnEstimates, tallies: Tallies, *, is_execution: bool) -> pd.DataFrame:
    """Members by cases, ms; only cases of which two members or more have a time."""
    times = {
        user_id: {case: float(np.exp(one.log_time)) for case, one in by_case.items()}
        for user_id, by_case in own.items()
    }
    for user_id, by_case in tallies.items():
        if user_id not in own:
            sums = _sums(by_case, is_execution=is_execution)
            times[user_id] = geometric_means(sums, least=FLUENT_FROM)
    frame = pd.DataFrame.from_dict(times, orient="index", dtype="float64")
    return frame.loc[:, frame.notna().sum() >= 2]


def _slow_cell(
    user_id: int,
    case: str,
    residuals: pd.DataFrame,
    own: OwnEstimates,
    tallies: Tallies,
) -> SlowCell | None:
    if case not in own.get(user_id, {}):
        return None
    residual = float(residuals.loc[user_id, case])  # type: ignore[arg-type]  # one cell, whatever the stubs say
    estimate = own[user_id][case]
    expected = Estimate(estimate.log_time - float(np.log(residual)), 0.0)
    return SlowCell(
        percent=round(100 * (residual - 1)),
        n=tallies[user_id][case].n_timed,
        p_slower=probability_faster(expected, estimate),
    )


def _turns(stage: Stage) -> dict[str, int]:
    """Face turns of the first algorithm of each case of the book."""
    return {
        str(case.id.number): count_metrics(
            parse_tokens(default_book().algorithms(case.id)[0].text)
        ).htm
        for case in CASES.values()
        if case.id.stage is stage
    }


def slow_findings(
    chosen: Sequence[SightedMember], lines: Sequence[SlowLine]
) -> tuple[SlowFinding, ...]:
    """The slow cells in words, member by member, the slowest first."""
    found = []
    for place, member in enumerate(chosen):
        own = [(line, cell) for line in lines if (cell := line.cells[place]) is not None]
        slow = sorted(
            ((line, cell) for line, cell in own if cell.level == "slow"),
            key=lambda pair: -pair[1].percent,
        )
        found += [
            SlowFinding(
                name=member.name,
                number=line.number,
                title=line.title,
                percent=cell.percent,
                n=cell.n,
                words=likelihood(cell.p_slower).value,
            )
            for line, cell in slow
        ]
    return tuple(found)
