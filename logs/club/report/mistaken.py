"""Mistaken for: what was done where a case was shown, by a club's members or by one."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

import pandas as pd

from clubsite.accounts.models import User
from cubecore.cases import Stage
from cubecore.pictures import case_picture
from logs.cases.facts import chance_of
from logs.people.report.members import ClubView, SightedMember, club_view
from logs.people.report.whose import Whose, whose
from logs.solves.figures.mistakes import Mistake, MistakeKind
from logs.solves.figures.mix_ups import Cost, mix_up_cost, mix_up_rates
from logs.solves.models.tallies import CaseTally, MixUpTally
from logs.solves.selectors.tallies import (
    case_tally_list,
    looked_rows,
    mix_up_tally_list,
    own_case_tally_list,
    own_mix_up_tally_list,
)
from logs.solves.services.case_counts import mistaken_looks, read_look
from logs.stats.likelihood import LIKELY, decimals_shown, likelihood
from logs.stats.rates import probability_larger_rate
from logs.words import case_title, find_case, moment

PICTURE = 56


class Cell(NamedTuple):
    """What was shown and what was done in its place."""

    stage: str
    shown: str
    done_stage: str
    done: str
    misfire_kind: str

    @property
    def back(self) -> "Cell":
        """The other way round."""
        return Cell(self.done_stage, self.done, self.stage, self.shown, self.misfire_kind)


Rates = Mapping[tuple[int, int], Mapping[Any, Any]]
"""The rate of each (events, looks)."""


@dataclass(frozen=True, slots=True)
class MistakenBy:
    """A member's part of a line of a club's page; ``is_finding`` by their own counts alone."""

    name: str
    membership_id: int
    n_events: int
    n: int
    is_finding: bool


@dataclass(frozen=True, slots=True)
class MistakenLine:
    """One case and what was done in its place.

    Attributes:
        stage: OLL or PLL.
        done_stage: That of what was done.
        shown: The case that came up.
        shown_title: It in words.
        shown_picture: Its picture.
        done: The case whose algorithm was made.
        done_title: It in words.
        done_picture: Its picture, or empty for a wrong hold.
        is_wrong_hold: Whether it was the right algorithm from a wrong hold.
        n_events: How often.
        n: Looks at the shown case.
        pct: Rate, per cent: the middle of what it may be.
        low_pct: Lower end of its range.
        high_pct: Upper end.
        is_finding: Whether enough is known to say so, of all together or of one member.
        lean: Whether the other way round is likely rarer: teach the mark of the shown case.
        n_back: How often the other way round.
        n_back_of: Looks at the other case.
        by: The members, most often first.
        lean_word: How sure that is, on the one scale of words; empty without a lean.
        cost: What it costs in 100 solves, in words; on a member's own page, where times tell it.
        solves: The solves it happened in, newest first; on a member's own page.
    """

    stage: str
    done_stage: str
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
    lean_word: str = ""
    cost: str = ""
    solves: tuple[tuple[int, str], ...] = ()

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
        return sorted({part.membership_id for line in lines for part in line.by})


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
    *, actor: User, slug: str, hides_names: bool = False
) -> ClubMistakenReport:
    """What the club's members whose logs ``actor`` may read took for what.

    Raises:
        NotFoundError: There is no such club, or ``actor`` is not in it.
    """
    view = club_view(actor=actor, slug=slug, hides_names=hides_names)
    tallies = [
        tally
        for stage in Stage
        for tally in case_tally_list(actor=actor, club=view.club_row, stage=stage)
    ]
    mix_ups = mix_up_tally_list(actor=actor, club=view.club_row)
    return ClubMistakenReport(view, _lines(_counts(tallies, mix_ups, view.members)))


def member_mistaken_report(
    *, actor: User, membership_id: int | None = None
) -> MemberMistakenReport:
    """What the actor, or the member of the membership, took for what.

    Raises:
        NotFoundError: There is no such member, or their log is not the actor's to read.
    """
    member = whose(actor=actor, membership_id=membership_id)
    tallies = own_case_tally_list(actor=actor, member=member.user)
    mix_ups = own_mix_up_tally_list(actor=actor, member=member.user)
    lines = _lines(_counts(tallies, mix_ups, ()))
    shown = {(one.stage, one.shown) for one in mix_ups}
    rows = looked_rows(actor=actor, member=member.user, cases=shown)

    def told(some: tuple[MistakenLine, ...]) -> tuple[MistakenLine, ...]:
        return tuple(
            _with_solves(
                line,
                [row for row in rows if (row["stage"], row["case"]) == (line.stage, line.shown)],
                member.zone,
            )
            for line in some
        )

    return MemberMistakenReport(
        member,
        MistakenLines(told(lines.other_case), told(lines.wrong_hold), told(lines.too_few), lines.n),
    )


def _with_solves(
    line: MistakenLine, rows: Sequence[Mapping[str, Any]], zone: ZoneInfo
) -> MistakenLine:
    """The line with the solves it happened in, and what it costs where times tell that.

    ``rows`` are all looks at the shown case, in the order of time.
    """
    case = find_case(line.stage, line.shown)
    kind = MistakeKind.WRONG_HOLD if line.is_wrong_hold else MistakeKind.OTHER_CASE
    mistake = Mistake(line.done_stage, line.done, kind.value)
    looks = [read_look(row) for row in rows]
    places = {look.place for look, made in mistaken_looks(looks) if made == mistake}
    slips = [row for row, look in zip(rows, looks, strict=True) if look.place in places]
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
        cost=cost_words(cost),
        solves=tuple(
            (row["solve_id"], moment(row["solve__done_at"], zone)) for row in reversed(slips)
        ),
    )


def _whole_ms(rows: Sequence[Mapping[str, Any]]) -> pd.Series:
    """Recognition and execution of each, NaN where the log does not tell or there is no end."""
    times_ms = [
        None
        if row["recognition_ms"] is None or row["execution_ms"] is None
        else row["recognition_ms"] + row["execution_ms"]
        for row in rows
    ]
    return pd.Series(times_ms, dtype="float64")


def cost_words(cost: Cost | None) -> str:
    """What a mix-up costs in 100 solves, with its range and count; empty where times do not tell."""
    if cost is None:
        return ""
    mean, low, high = (ms / 10 for ms in (cost.mean_ms, cost.low_ms, cost.high_ms))
    decimals = decimals_shown((high - low) / 2, most=1)
    span = f"{low:.{decimals}f} to {high:.{decimals}f}"
    return f"{mean:.{decimals}f} s in 100 solves ({span}; {cost.n_timed} timed)"


@dataclass(frozen=True, slots=True)
class _Counts:
    """All that the lines are made of: events by cell, looks by member and by case, names."""

    cells: Mapping[Cell, Sequence[MixUpTally]]
    looks: Mapping[tuple[int, str, str], int]
    looks_of_all: Mapping[tuple[str, str], int]
    names: Mapping[int, SightedMember]

    def of(self, cell: Cell) -> tuple[int, int]:
        """How often it was done, and the looks at the shown case."""
        n_events = sum(one.n for one in self.cells.get(cell, ()))
        return n_events, self.looks_of_all.get((cell.stage, cell.shown), 0)

    def of_member(self, one: MixUpTally) -> tuple[int, int]:
        """The same of one member."""
        return one.n, self.looks[one.member_id, one.stage, one.shown]


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
    rates = _rates(counts)
    lines = [_line(cell, rates, counts) for cell in counts.cells]
    lines.sort(key=lambda line: (-line.n_events, line.stage, line.shown, line.done))
    findings = [line for line in lines if line.is_finding]
    return MistakenLines(
        other_case=tuple(line for line in findings if not line.is_wrong_hold),
        wrong_hold=tuple(line for line in findings if line.is_wrong_hold),
        too_few=tuple(line for line in lines if not line.is_finding),
        n=sum(counts.looks.values()),
    )


def _rates(counts: _Counts) -> Rates:
    """The rate of each (events, looks), as `mix_up_rates` has it, worked out in one go."""
    of_members = {counts.of_member(one) for ones in counts.cells.values() for one in ones}
    counted = sorted({*map(counts.of, counts.cells), *of_members})
    events, looks = ([pair[place] for pair in counted] for place in (0, 1))
    rates = mix_up_rates(pd.Series(events, dtype="int64"), pd.Series(looks, dtype="int64"))
    return dict(zip(counted, rates.to_dict("records"), strict=True))


def _line(cell: Cell, rates: Rates, counts: _Counts) -> MistakenLine:
    there, back = counts.of(cell), counts.of(cell.back)
    rate, by = rates[there], _by(counts.cells[cell], rates, counts)
    is_wrong_hold = cell.misfire_kind == MistakeKind.WRONG_HOLD
    is_finding = bool(rate["is_printed"]) or any(part.is_finding for part in by)
    is_two_way = is_finding and not is_wrong_hold and back[1] > 0
    return MistakenLine(
        stage=cell.stage,
        done_stage=cell.done_stage,
        shown=cell.shown,
        shown_title=case_title(cell.stage, cell.shown),
        shown_picture=_picture(cell.stage, cell.shown),
        done=cell.done,
        done_title=case_title(cell.done_stage, cell.done),
        done_picture="" if is_wrong_hold else _picture(cell.done_stage, cell.done),
        is_wrong_hold=is_wrong_hold,
        n_events=there[0],
        n=there[1],
        pct=round(100 * rate["rate"]),
        low_pct=round(100 * rate["low"]),
        high_pct=round(100 * rate["high"]),
        is_finding=is_finding,
        lean=is_two_way and _more(there, back) >= LIKELY,
        n_back=back[0],
        n_back_of=back[1],
        by=by,
        lean_word=likelihood(_more(there, back)).value
        if is_two_way and _more(there, back) >= LIKELY
        else "",
    )


@lru_cache(maxsize=1 << 14)
def _more(there: tuple[int, int], back: tuple[int, int]) -> float:
    """The chance that the first rate is the larger; an integral, so kept while the site runs."""
    return probability_larger_rate(there, back)


def _by(ones: Sequence[MixUpTally], rates: Rates, counts: _Counts) -> tuple[MistakenBy, ...]:
    """Who did it, most often first; nobody is named on a member's own page."""
    parts = [
        MistakenBy(
            name=counts.names[one.member_id].name,
            membership_id=counts.names[one.member_id].membership_id,
            n_events=one.n,
            n=counts.of_member(one)[1],
            is_finding=bool(rates[counts.of_member(one)]["is_printed"]),
        )
        for one in ones
        if one.member_id in counts.names
    ]
    return tuple(sorted(parts, key=lambda part: (-part.n_events, part.name)))


def _picture(stage: str, number: str) -> str:
    case = find_case(stage, number)
    return "" if case is None else case_picture(case, size=PICTURE)
