"""Mistaken for: what was done where a case was shown, by a club's members or by one."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from typing import Any

import pandas as pd

from cubecore.cases import Stage
from logs.cases.facts import case_chances, chance_of
from logs.cases.report import CaseName
from logs.people.sight import ClubMember, ClubSight, ClubView, Sight, SightedMember, Whose
from logs.solves.figures.counts import mistaken_looks, read_look
from logs.solves.figures.mistakes import (
    BAND,
    Cell,
    CellFinding,
    Mistake,
    MistakeKind,
    cell_findings,
    mix_up_cost,
)
from logs.solves.models.tallies import CaseTally, MixUpTally
from logs.solves.selectors.frames import (
    case_tally_list,
    looked_rows,
    mix_up_tally_list,
    own_case_tally_list,
    own_mix_up_tally_list,
)
from logs.stats import Range
from logs.stats.grid import LIKELY
from logs.stats.rates import probability_of_lean
from logs.words import case_title, find_case


@dataclass(frozen=True, slots=True)
class MistakenBy:
    """A member's part of a line of a club's page.

    Attributes:
        member: The member.
        n_events: How often they did it.
        n: Their looks at the shown case.
        is_finding: Whether their own counts are enough to say so.
    """

    member: ClubMember
    n_events: int
    n: int
    is_finding: bool


@dataclass(frozen=True, slots=True)
class MistakenSolve:
    """A solve in which a case was mistaken.

    Attributes:
        solve_id: Names it in addresses.
        done_at: When it was done; null where the log does not tell.
    """

    solve_id: int
    done_at: datetime | None


@dataclass(frozen=True, slots=True)
class MistakenCost:
    """What a mistake costs in an average solve.

    Attributes:
        mean_ms: On average, ms.
        range_ms: Where that lies, ms; below 0 where nothing may be lost.
        n_timed: Timed mistakes behind it.
    """

    mean_ms: float
    range_ms: Range
    n_timed: int


@dataclass(frozen=True, slots=True, kw_only=True)
class MistakenLine:
    """One case and what was done in its place.

    Attributes:
        case: The case that came up.
        done: The case whose algorithm was made; ``case`` itself for a wrong hold.
        is_wrong_hold: Whether it was the right algorithm from a wrong hold.
        n_members: Members who did it.
        n_members_met: Members who looked at the shown case.
        n_events: How often: by the members of whom enough is known to say so, or where there is no
            such member by all.
        n: Their looks at the shown case.
        rate_share: The rate, 0..1: the middle of what it may be.
        rate_range: Where the rate lies, 0..1.
        is_finding: Whether enough is known to say so, of one member or of all together; of all
            findings of a page at most one in ten is expected to be wrong.
        p_lean: Chance that the other way round is rarer, 0..1; null where that is not asked or not
            at least likely. Where it is, the mark of the shown case is what to teach.
        n_back: How often the other way round.
        n_back_of: Looks at the other case.
        by: The members, most often first; empty on a member's own page.
        cost: What it costs; null on a club's page, or where times do not tell.
        solves: The solves it happened in, newest first; empty on a club's page.
    """

    case: CaseName
    done: CaseName
    is_wrong_hold: bool
    n_members: int
    n_members_met: int
    n_events: int
    n: int
    rate_share: float
    rate_range: Range
    is_finding: bool
    p_lean: float | None
    n_back: int
    n_back_of: int
    by: tuple[MistakenBy, ...]
    cost: MistakenCost | None = None
    solves: tuple[MistakenSolve, ...] = ()


@dataclass(frozen=True, slots=True)
class MistakenLines:
    """The lines of a page.

    Attributes:
        other_case: Findings of one case taken for another.
        wrong_hold: Findings of a right algorithm from a wrong hold.
        too_few: What happened too rarely to be a finding.
        n: Looks counted.
    """

    other_case: tuple[MistakenLine, ...]
    wrong_hold: tuple[MistakenLine, ...]
    too_few: tuple[MistakenLine, ...]
    n: int

    @property
    def membership_ids(self) -> list[int]:
        """Who is named on the lines."""
        lines = (*self.other_case, *self.wrong_hold, *self.too_few)
        return sorted({part.member.membership_id for line in lines for part in line.by})


@dataclass(frozen=True, slots=True)
class ClubMistakenReport:
    """What a club's members take for what.

    Attributes:
        view: The club as the reader sees it.
        lines: The lines.
    """

    view: ClubView
    lines: MistakenLines


@dataclass(frozen=True, slots=True)
class MemberMistakenReport:
    """What a member takes for what.

    Attributes:
        whose: The member.
        lines: The lines.
    """

    whose: Whose
    lines: MistakenLines


def club_mistaken_report(*, view: ClubSight) -> ClubMistakenReport:
    """What a club's members whose logs its reader may read took for what."""
    tallies = [tally for stage in Stage for tally in case_tally_list(sight=view, stage=stage)]
    mix_ups = mix_up_tally_list(sight=view)
    return ClubMistakenReport(view, _lines(_counts(tallies, mix_ups, view.members)))


def member_mistaken_report(*, member: Sight) -> MemberMistakenReport:
    """What a member took for what."""
    actor = member.reader
    tallies = own_case_tally_list(actor=actor, member=member)
    mix_ups = own_mix_up_tally_list(actor=actor, member=member)
    lines = _lines(_counts(tallies, mix_ups, ()))
    shown = {(one.stage, one.shown) for one in mix_ups}
    rows = looked_rows(actor=actor, member=member, cases=shown)

    def in_full(some: tuple[MistakenLine, ...]) -> tuple[MistakenLine, ...]:
        return tuple(_with_solves(line, rows) for line in some)

    other_case, wrong_hold = in_full(lines.other_case), in_full(lines.wrong_hold)
    return MemberMistakenReport(
        member, MistakenLines(other_case, wrong_hold, in_full(lines.too_few), lines.n)
    )


def _with_solves(line: MistakenLine, rows: Sequence[Mapping[str, Any]]) -> MistakenLine:
    """The line with the solves it happened in, and what it costs where times tell that.

    ``rows`` are all looks at the shown cases, in the order of time.
    """
    shown = (line.case.stage, line.case.number)
    rows = [row for row in rows if (row["stage"], row["case"]) == shown]
    case = find_case(line.case.stage, line.case.number)
    kind = MistakeKind.WRONG_HOLD if line.is_wrong_hold else MistakeKind.OTHER_CASE
    mistake = Mistake(line.done.stage, line.done.number, kind.value)
    looks = [read_look(row) for row in rows]
    places = {look.solve_id for look, made in mistaken_looks(looks) if made == mistake}
    slips = [row for row, look in zip(rows, looks, strict=True) if look.solve_id in places]
    clean = [row for row in rows if row["is_one_look"]]
    cost = (
        None
        if case is None
        else mix_up_cost(
            _whole_ms(slips),
            _whole_ms(clean),
            chance=chance_of(case),
            n_events=line.n_events,
            n=line.n,
        )
    )
    return replace(
        line,
        cost=None
        if cost is None
        else MistakenCost(
            cost.mean_ms, Range(low=cost.low_ms, high=cost.high_ms, level=BAND), cost.n_timed
        ),
        solves=tuple(
            MistakenSolve(row["solve_id"], row["solve__done_at"]) for row in reversed(slips)
        ),
    )


def _whole_ms(rows: Sequence[Mapping[str, Any]]) -> pd.Series:
    """Recognition and execution of each, NaN where the log does not tell or there is no end."""
    times_ms = [
        None
        if row["alike_recognition_ms"] is None or row["alike_execution_ms"] is None
        else row["alike_recognition_ms"] + row["alike_execution_ms"]
        for row in rows
    ]
    return pd.Series(times_ms, dtype="float64")


@dataclass(frozen=True, slots=True)
class _Counts:
    """All that the lines are made of: events by cell, looks by member and by case, members."""

    cells: Mapping[Cell, Sequence[MixUpTally]]
    looks: Mapping[tuple[int, str, str], int]
    looks_of_all: Mapping[tuple[str, str], int]
    members: Mapping[int, SightedMember]

    @property
    def n_pairs(self) -> int:
        """Pairs of cases of which one was taken for the other: any of them could be picked."""
        pairs = {
            frozenset({(cell.stage, cell.shown), (cell.done_stage, cell.done)})
            for cell in self.cells
            if cell.misfire_kind != MistakeKind.WRONG_HOLD
        }
        return max(1, len(pairs))

    def of(self, cell: Cell) -> tuple[int, int]:
        """How often it was done, and the looks at the shown case."""
        n_events = sum(one.n for one in self.cells.get(cell, ()))
        return n_events, self.looks_of_all.get((cell.stage, cell.shown), 0)

    def of_member(self, one: MixUpTally) -> tuple[int, int]:
        """The same of one member."""
        return one.n, self.looks[one.member_id, one.stage, one.shown]

    def n_met(self, cell: Cell) -> int:
        """Members who looked at the shown case."""
        return sum(n > 0 and key[1:] == cell[:2] for key, n in self.looks.items())


def _counts(
    tallies: Iterable[CaseTally], mix_ups: Iterable[MixUpTally], members: Iterable[SightedMember]
) -> _Counts:
    looks = {(tally.member_id, tally.stage, tally.case): tally.n_looked for tally in tallies}
    looks_of_all: dict[tuple[str, str], int] = defaultdict(int)
    for (_, stage, case), n in looks.items():
        looks_of_all[stage, case] += n
    cells: dict[Cell, list[MixUpTally]] = defaultdict(list)
    for one in mix_ups:
        cells[Cell(one.stage, one.shown, one.done_stage, one.done, one.misfire_kind)].append(one)
    return _Counts(cells, looks, looks_of_all, {member.user_id: member for member in members})


def _lines(counts: _Counts) -> MistakenLines:
    said = _findings(counts, is_wrong_hold=False) | _findings(counts, is_wrong_hold=True)
    lines = [_line(cell, said[cell], counts) for cell in counts.cells]
    lines.sort(
        key=lambda line: (-line.n_events, line.case.stage, line.case.number, line.done.number)
    )
    findings = [line for line in lines if line.is_finding]
    return MistakenLines(
        other_case=tuple(line for line in findings if not line.is_wrong_hold),
        wrong_hold=tuple(line for line in findings if line.is_wrong_hold),
        too_few=tuple(line for line in lines if not line.is_finding),
        n=sum(counts.looks.values()),
    )


def _findings(counts: _Counts, *, is_wrong_hold: bool) -> dict[Cell, CellFinding]:
    """What may be said of the cells of one kind."""
    cells = {
        cell: {one.member_id: counts.of_member(one) for one in ones}
        for cell, ones in counts.cells.items()
        if (cell.misfire_kind == MistakeKind.WRONG_HOLD) is is_wrong_hold
    }
    own_looks: Counter[int] = Counter()
    looks_of_all: Counter[int] = Counter()
    for (_, stage, _), n in counts.looks.items():
        own_looks[n] += _n_other(stage, is_wrong_hold) if n else 0
    for (stage, _), n in counts.looks_of_all.items():
        looks_of_all[n] += _n_other(stage, is_wrong_hold) if n else 0
    of_all = {cell: counts.of(cell) for cell in cells}
    return cell_findings(cells, of_all, own_looks=own_looks, looks_of_all=looks_of_all)


def _n_other(stage: str, is_wrong_hold: bool) -> int:
    """For how many cases one may be taken; for itself from a wrong hold."""
    return 1 if is_wrong_hold else len(case_chances(Stage(stage))) - 1


def _line(cell: Cell, said: CellFinding, counts: _Counts) -> MistakenLine:
    there, back = counts.of(cell), counts.of(cell.back)
    is_wrong_hold = cell.misfire_kind == MistakeKind.WRONG_HOLD
    is_two_way = said.is_finding and not is_wrong_hold and back[1] > 0
    p_lean = _lean(there, back, counts.n_pairs) if is_two_way else 0.0
    return MistakenLine(
        case=_name(cell.stage, cell.shown),
        done=_name(cell.done_stage, cell.done),
        is_wrong_hold=is_wrong_hold,
        n_members=len(counts.cells[cell]),
        n_members_met=counts.n_met(cell),
        n_events=said.n_events,
        n=said.n,
        rate_share=said.rate,
        rate_range=Range(low=said.low, high=said.high, level=BAND),
        is_finding=said.is_finding,
        p_lean=p_lean if p_lean >= LIKELY else None,
        n_back=back[0],
        n_back_of=back[1],
        by=_by(counts.cells[cell], said.sure, counts),
    )


@lru_cache(maxsize=1 << 14)
def _lean(there: tuple[int, int], back: tuple[int, int], n_pairs: int) -> float:
    """The chance that the first rate is the larger; an integral, so kept while the site runs."""
    return probability_of_lean(there, back, n_pairs=n_pairs)


def _by(
    ones: Sequence[MixUpTally], sure: Collection[int], counts: _Counts
) -> tuple[MistakenBy, ...]:
    """Who did it, most often first; nobody is named on a member's own page."""
    parts = [
        MistakenBy(
            member=counts.members[one.member_id],
            n_events=one.n,
            n=counts.of_member(one)[1],
            is_finding=one.member_id in sure,
        )
        for one in ones
        if one.member_id in counts.members
    ]
    return tuple(sorted(parts, key=lambda part: (-part.n_events, part.member.name)))


def _name(stage: str, number: str) -> CaseName:
    return CaseName(Stage(stage), number, case_title(stage, number))
