"""Where a member is slow for their own speed: beyond their pace and what the case takes anybody."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from cubecore.cases import CASES, Stage
from cubecore.words import Word
from logs.cases.report import CaseName, name_of
from logs.people.sight import ClubMember, SightedMember
from logs.solves.models.tallies import CaseTally
from logs.stats.rates import worth_saying
from logs.stats.two_way import CellSums, OwnEffects, own_effects

Tallies = Mapping[int, "Mapping[str, CaseTally]"]
"""Case tallies of one stage, by account and case."""


NOTEWORTHY = 0.05
"""Slow is a twentieth slower than a member's own speed and the case would have it, or more."""


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
        p_slower: Chance that it is slower for their own speed by a twentieth or more, 0..1.
        speed: Slow or quick, by a twentieth or more, where that may be said; of all cells of the page
            that are so called at most one in ten is expected to be wrong.
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
    """A case that is slow for a member's own speed, as far as the page may say so.

    Attributes:
        member: The member.
        case: The case.
        excess_share: Slower by this share of the expected time.
        n: Timed one-look sightings behind it.
        p_slower: Chance that it is slower for their own speed by a twentieth or more, 0..1.
    """

    member: ClubMember
    case: CaseName
    excess_share: float
    n: int
    p_slower: float


def speed_lines(
    chosen: Sequence[SightedMember], tallies: Tallies, *, is_execution: bool, stage: Stage
) -> tuple[SpeedLine, ...]:
    """Every case of which at least two members of the club, and one chosen, have times.

    Args:
        chosen: The members to compare.
        tallies: Of everybody whose log the reader may open: they tell how long a case takes.
        is_execution: Execution rather than recognition.
        stage: The set of cases.
    """
    sums = {
        (user_id, case): _cell_sums(tally, is_execution=is_execution)
        for user_id, by_case in tallies.items()
        for case, tally in by_case.items()
        if tally.n_timed
    }
    found = own_effects(sums, shown=frozenset(one.user_id for one in chosen))
    if found is None:
        return ()
    n_members = Counter(case for _, case in sums)
    cells = {(cell.member, cell.case): cell for cell in named_cells(found)}
    lines = []
    for case in (case for case in CASES.values() if case.id.stage is stage):
        of_case = [
            SpeedCell(
                one.membership_id,
                cell.excess_share,
                tallies[one.user_id][case.id.text].n_timed,
                cell.p_slower,
                cell.speed,
            )
            for one in chosen
            if (cell := cells.get((one.user_id, case.id.text))) is not None
        ]
        if of_case and n_members[case.id.text] > 1:
            lines.append(SpeedLine(name_of(case.id), tuple(of_case)))
    return tuple(lines)


def _cell_sums(tally: CaseTally, *, is_execution: bool) -> CellSums:
    total, squares = (
        (tally.execution_log_sum, tally.execution_log_squares)
        if is_execution
        else (tally.recognition_log_sum, tally.recognition_log_squares)
    )
    mean = total / tally.n_timed
    return CellSums(tally.n_timed, mean, max(squares - total * mean, 0.0))


class NamedCell(NamedTuple):
    """A member at a case, and whether it may be said that they are slow or quick there.

    Attributes:
        member: The member.
        case: The case.
        excess_share: Slower (above 0) or faster by this share.
        p_slower: Chance that they are ``NOTEWORTHY`` slower there.
        speed: What may be said.
    """

    member: int
    case: str
    excess_share: float
    p_slower: float
    speed: Speed


def named_cells(found: OwnEffects) -> list[NamedCell]:
    """The cells, slow or quick where the page may say so: of all it says one in ten is wrong."""
    ends = np.log1p([NOTEWORTHY, -NOTEWORTHY])
    p_slower = 1 - found.effects.cdf(np.full(len(found.cells), ends[0]))
    p_quicker = found.effects.cdf(np.full(len(found.cells), ends[1]))
    may_say = worth_saying(np.maximum(p_slower, p_quicker))
    cells, means = [], found.means()
    for place, (member, case) in enumerate(found.cells):
        speed = Speed.SLOW if p_slower[place] > p_quicker[place] else Speed.QUICK
        cells.append(
            NamedCell(
                member=member,
                case=case,
                excess_share=float(np.expm1(means[place])),
                p_slower=float(p_slower[place]),
                speed=speed if may_say[place] else Speed.EVEN,
            )
        )
    return cells


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
