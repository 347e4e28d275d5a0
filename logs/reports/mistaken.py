"""Mistaken for: what was done where a case was shown, by a club's members or by one."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pandas as pd

from cubecore.cases import Stage
from cubecore.looks import MisfireKind
from cubecore.pictures import case_picture
from logs.analytics.mix_ups import mix_up_rates
from logs.analytics.rate_order import probability_larger_rate
from logs.analytics.words import LIKELY
from logs.reports.club_members import ClubMember, ClubView, club_view
from logs.reports.people import Whose, whose
from logs.reports.words import case_title, find_case
from logs.selectors.tallies import (
    case_tally_list,
    mix_up_tally_list,
    own_case_tally_list,
    own_mix_up_tally_list,
)

if TYPE_CHECKING:
    from clubsite.accounts.models import User
    from logs.models import CaseTally, MixUpTally

PICTURE = 56
Cell = tuple[str, str, str, str]
"""Stage, shown, done, misfire kind."""


@dataclass(frozen=True, slots=True)
class MistakenBy:
    """A member's part of a line of a club's page."""

    name: str
    membership_id: int
    n_events: int
    n: int


@dataclass(frozen=True, slots=True)
class MistakenLine:
    """One case and what was done in its place.

    Attributes:
        stage: OLL or PLL.
        shown: The case that came up.
        shown_title: It in words.
        shown_picture: Its picture.
        done: The case whose algorithm was made.
        done_title: It in words.
        done_picture: Its picture, or empty for a wrong hold.
        is_wrong_hold: Whether it was the right algorithm from a wrong hold.
        n_events: How often.
        n: Sightings of the shown case.
        pct: Rate, per cent: the middle of what it may be.
        low_pct: Lower end of its range.
        high_pct: Upper end.
        is_finding: Whether enough is known to say so.
        lean: Whether the other way round is likely rarer: teach the mark of the shown case.
        n_back: How often the other way round.
        n_back_of: Sightings of the other case.
        by: The members, most often first.
    """

    stage: str
    shown: str
    shown_title: str
    shown_picture: str
    done: str
    done_title: str
    done_picture: str
    is_wrong_hold: bool
    n_events: int
    n: int
    pct: int
    low_pct: int
    high_pct: int
    is_finding: bool
    lean: bool
    n_back: int
    n_back_of: int
    by: tuple[MistakenBy, ...]

    @property
    def key(self) -> str:
        """The shown case as an address names it."""
        return f"{self.stage}-{self.shown}"


@dataclass(frozen=True, slots=True)
class MistakenLines:
    """The lines of a page.

    Attributes:
        other_case: Findings of one case taken for another.
        wrong_hold: Findings of a right algorithm from a wrong hold.
        too_few: What happened too rarely to be a finding.
        n: Sightings counted.
    """

    other_case: tuple[MistakenLine, ...]
    wrong_hold: tuple[MistakenLine, ...]
    too_few: tuple[MistakenLine, ...]
    n: int


@dataclass(frozen=True, slots=True)
class ClubMistakenReport:
    """The club's Mistaken-for page."""

    view: ClubView
    lines: MistakenLines


@dataclass(frozen=True, slots=True)
class MemberMistakenReport:
    """A member's Mistaken-for page."""

    whose: Whose
    lines: MistakenLines


def club_mistaken_report(
    *, actor: "User", slug: str, hides_names: bool = False
) -> ClubMistakenReport:
    """What the club's members whose logs ``actor`` may read took for what.

    Raises:
        NotFoundError: There is no such club, or ``actor`` is not in it.
    """
    view = club_view(actor=actor, slug=slug, hides_names=hides_names)
    tallies = [
        tally
        for stage in Stage
        for tally in case_tally_list(actor=actor, club=view.club, stage=stage)
    ]
    mix_ups = mix_up_tally_list(actor=actor, club=view.club)
    return ClubMistakenReport(view, _lines(_counts(tallies, mix_ups, view.members)))


def member_mistaken_report(
    *, actor: "User", membership_id: int | None = None
) -> MemberMistakenReport:
    """What the actor, or the member of the membership, took for what.

    Raises:
        NotFoundError: There is no such member, or their log is not the actor's to read.
    """
    member = whose(actor=actor, membership_id=membership_id)
    tallies = own_case_tally_list(actor=actor, member=member.user)
    mix_ups = own_mix_up_tally_list(actor=actor, member=member.user)
    return MemberMistakenReport(member, _lines(_counts(tallies, mix_ups, ())))


@dataclass(frozen=True, slots=True)
class _Counts:
    """All that the lines are made of: events by cell, sightings by member and by case, names."""

    cells: "Mapping[Cell, Sequence[MixUpTally]]"
    seen: Mapping[tuple[int, str, str], int]
    seen_by_all: Mapping[tuple[str, str], int]
    names: Mapping[int, ClubMember]

    def n_events(self, cell: Cell) -> int:
        return sum(one.n for one in self.cells.get(cell, ()))

    def n(self, stage: str, case: str) -> int:
        return self.seen_by_all.get((stage, case), 0)


def _counts(
    tallies: "Iterable[CaseTally]", mix_ups: "Iterable[MixUpTally]", members: Iterable[ClubMember]
) -> _Counts:
    seen = {(tally.member_id, tally.stage, tally.case): tally.n for tally in tallies}
    seen_by_all: dict[tuple[str, str], int] = defaultdict(int)
    for (_, stage, case), n in seen.items():
        seen_by_all[stage, case] += n
    cells: dict[Cell, list[MixUpTally]] = defaultdict(list)
    for one in mix_ups:
        cells[one.stage, one.shown, one.done, one.misfire_kind].append(one)
    return _Counts(cells, seen, seen_by_all, {member.user_id: member for member in members})


def _lines(counts: _Counts) -> MistakenLines:
    cells = list(counts.cells)
    rates = mix_up_rates(
        pd.Series([counts.n_events(cell) for cell in cells], dtype="int64"),
        pd.Series([counts.n(cell[0], cell[1]) for cell in cells], dtype="int64"),
    )
    lines = [
        _line(cell, rate, counts)
        for cell, rate in zip(cells, rates.to_dict("records"), strict=True)
    ]
    lines.sort(key=lambda line: (-line.n_events, line.stage, line.shown, line.done))
    findings = [line for line in lines if line.is_finding]
    return MistakenLines(
        other_case=tuple(line for line in findings if not line.is_wrong_hold),
        wrong_hold=tuple(line for line in findings if line.is_wrong_hold),
        too_few=tuple(line for line in lines if not line.is_finding),
        n=sum(counts.seen.values()),
    )


def _line(cell: Cell, rate: Mapping[Any, Any], counts: _Counts) -> MistakenLine:
    stage, shown, done, kind = cell
    there = (counts.n_events(cell), counts.n(stage, shown))
    back = (counts.n_events((stage, done, shown, kind)), counts.n(stage, done))
    is_wrong_hold = kind == MisfireKind.WRONG_HOLD
    is_finding = bool(rate["is_printed"])
    is_two_way = is_finding and not is_wrong_hold and back[1] > 0
    return MistakenLine(
        stage=stage,
        shown=shown,
        shown_title=case_title(stage, shown),
        shown_picture=_picture(stage, shown),
        done=done,
        done_title=case_title(stage, done),
        done_picture="" if is_wrong_hold else _picture(stage, done),
        is_wrong_hold=is_wrong_hold,
        n_events=there[0],
        n=there[1],
        pct=round(100 * rate["rate"]),
        low_pct=round(100 * rate["low"]),
        high_pct=round(100 * rate["high"]),
        is_finding=is_finding,
        lean=is_two_way and probability_larger_rate(there, back) >= LIKELY,
        n_back=back[0],
        n_back_of=back[1],
        by=_by(counts.cells[cell], counts),
    )


def _by(ones: "Iterable[MixUpTally]", counts: _Counts) -> tuple[MistakenBy, ...]:
    """Who did it, most often first; nobody is named on a member's own page."""
    parts = [
        MistakenBy(
            name=counts.names[one.member_id].name,
            membership_id=counts.names[one.member_id].membership_id,
            n_events=one.n,
            n=counts.seen[one.member_id, one.stage, one.shown],
        )
        for one in ones
        if one.member_id in counts.names
    ]
    return tuple(sorted(parts, key=lambda part: (-part.n_events, part.name)))


def _picture(stage: str, number: str) -> str:
    case = find_case(stage, number)
    return "" if case is None else case_picture(case, size=PICTURE)
