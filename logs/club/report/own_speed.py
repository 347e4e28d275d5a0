"""Where a member is slow for their own speed: times as overall x member x case x what is left."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from cubecore.book import default_book
from cubecore.cases import CASES, Stage
from cubecore.notation import count_metrics, parse_tokens
from cubecore.words import Word
from logs.cases.report import CaseName, name_of
from logs.club.figures import (
    Estimate,
    LogSums,
    case_sums_of_tallies,
    estimates,
    geometric_means,
    probability_faster,
    two_way_fit,
)
from logs.club.report.coverage import execution_sums, recognition_sums
from logs.people.sight import ClubMember, SightedMember
from logs.solves.figures.standing import FLUENT_FROM
from logs.solves.models.tallies import CaseTally
from logs.stats.grid import LIKELY, pooled_times

Tallies = Mapping[int, "Mapping[str, CaseTally]"]
"""Case tallies of one stage, by account and case."""


OwnEstimates = Mapping[int, Mapping[str, Estimate]]


NOTEWORTHY = 0.10
"""A case is named from a tenth slower than expected on."""


class Speed(Word):
    """How a member's time of a case is for their own speed."""

    SLOW = "slow"
    EVEN = "even"
    QUICK = "quick"


@dataclass(frozen=True, slots=True)
class SpeedCell:
    """A member at a case, against what their speed and the case would have them take.

    Attributes:
        membership_id: The member.
        excess_share: Slower (above 0) or faster (below) by this share of the expected time.
        n: Timed one-look sightings behind it.
        p_slower: Chance that it is slow for their own speed, 0..1.
        speed: Slow or quick where that is at least likely and a tenth or more.
    """

    membership_id: int
    excess_share: float
    n: int
    p_slower: float
    speed: Speed


@dataclass(frozen=True, slots=True)
class SpeedLine:
    """A case, and how its time is for each member's own speed.

    Attributes:
        case: The case.
        cells: One for each member compared who has a time of it.
    """

    case: CaseName
    cells: tuple[SpeedCell, ...]


@dataclass(frozen=True, slots=True)
class SlowFinding:
    """A case that is at least likely slow for a member's own speed.

    Attributes:
        member: The member.
        case: The case.
        excess_share: Slower by this share of the expected time.
        n: Timed one-look sightings behind it.
        p_slower: Chance that it is slow for their own speed, 0..1.
    """

    member: ClubMember
    case: CaseName
    excess_share: float
    n: int
    p_slower: float


def speed_lines(
    chosen: Sequence[SightedMember], tallies: Tallies, *, stage: Stage, is_execution: bool
) -> tuple[SpeedLine, ...]:
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
        if case.id.text not in fit.residuals.columns:
            continue
        cells = [_speed_cell(one, case.id.text, fit.residuals, own, tallies) for one in chosen]
        if any(cells):
            timed = tuple(cell for cell in cells if cell is not None)
            lines.append(SpeedLine(name_of(case.id), timed))
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


def _speed_cell(
    member: SightedMember,
    case: str,
    residuals: pd.DataFrame,
    own: OwnEstimates,
    tallies: Tallies,
) -> SpeedCell | None:
    if case not in own.get(member.user_id, {}):
        return None
    residual = float(residuals.loc[member.user_id, case])  # type: ignore[arg-type]  # one cell, whatever the stubs say
    estimate = own[member.user_id][case]
    expected = Estimate(estimate.log_time - float(np.log(residual)), 0.0)
    excess, p_slower = residual - 1, probability_faster(expected, estimate)
    return SpeedCell(
        membership_id=member.membership_id,
        excess_share=excess,
        n=tallies[member.user_id][case].n_timed,
        p_slower=p_slower,
        speed=_speed(excess, p_slower),
    )


def _speed(excess_share: float, p_slower: float) -> Speed:
    """Slow or quick where that is at least likely and ``NOTEWORTHY``, in whole per cents."""
    excess = round(excess_share, 2)
    if excess >= NOTEWORTHY and p_slower >= LIKELY:
        return Speed.SLOW
    return Speed.QUICK if excess <= -NOTEWORTHY and 1 - p_slower >= LIKELY else Speed.EVEN


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
    chosen: Sequence[ClubMember], lines: Sequence[SpeedLine]
) -> tuple[SlowFinding, ...]:
    """The slow cases, member by member, the slowest first."""
    findings = [
        SlowFinding(member, line.case, cell.excess_share, cell.n, cell.p_slower)
        for member in chosen
        for line in lines
        for cell in line.cells
        if cell.membership_id == member.membership_id and cell.speed is Speed.SLOW
    ]
    place = {member.membership_id: place for place, member in enumerate(chosen)}
    return tuple(
        sorted(findings, key=lambda one: (place[one.member.membership_id], -one.excess_share))
    )
