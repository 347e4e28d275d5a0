"""Members by cases: the standing of each in each, with the solves behind it."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from cubecore.cases import CASES, Case, Stage
from logs.analytics.standing import Standing
from logs.reports.club_members import ClubMember
from logs.reports.standings import MemberStandings, is_one_look
from logs.reports.words import chance_words


@dataclass(frozen=True, slots=True)
class CaseColumn:
    """A case on the grid; ``n_one_look`` members have it in one look, of ``n_met`` who looked."""

    number: str
    key: str
    title: str
    chance: str
    n_one_look: int
    n_met: int


@dataclass(frozen=True, slots=True)
class Cell:
    """A member's standing in a case, with the counts behind it; ``is_shown`` fits the filter."""

    key: str
    standing: str
    n_one_look: int
    n_looked: int
    is_met: bool
    is_shown: bool


@dataclass(frozen=True, slots=True)
class GridRow:
    """A member's line of the grid."""

    member: ClubMember
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class StandingGrid:
    """The grid.

    Attributes:
        stage: The set of its cases.
        heads: Families over the grid, each with how many columns it has.
        columns: Cases, families together.
        rows: Members.
    """

    stage: Stage
    heads: tuple[tuple[str, int], ...]
    columns: tuple[CaseColumn, ...]
    rows: tuple[GridRow, ...]


def families_of(stage: Stage) -> tuple[str, ...]:
    """The families of a set, in the order of their first case."""
    return tuple(dict.fromkeys(case.family for case in CASES.values() if case.id.stage is stage))


def standing_grid(
    stage: Stage,
    cases: Iterable[Case],
    members: Sequence[ClubMember],
    standings: Mapping[int, MemberStandings],
    *,
    only: Standing | None = None,
) -> StandingGrid:
    """The grid of these cases and members.

    Args:
        stage: The set of the cases.
        cases: In any order.
        members: In the order of the rows; the last line counts them and nobody else.
        standings: By account; a member without is unmet everywhere.
        only: Show cells of this standing and leave the others empty; None shows all.
    """
    families = families_of(stage)
    ordered = sorted(cases, key=lambda case: families.index(case.family))
    own = [standings[one.user_id] for one in members if one.user_id in standings]
    return StandingGrid(
        stage=stage,
        heads=tuple(Counter(case.family for case in ordered).items()),
        columns=tuple(_column(case, own) for case in ordered),
        rows=tuple(
            GridRow(one, tuple(_cell(case, standings.get(one.user_id), only) for case in ordered))
            for one in members
        ),
    )


def case_key(case: Case) -> str:
    """The case as an address names it: ``oll-27``."""
    return f"{case.id.stage.value}-{case.id.number}"


def _column(case: Case, standings: Iterable[MemberStandings]) -> CaseColumn:
    number = str(case.id.number)
    looked = [one.standings[number] for one in standings if number in one.standings]
    met = [one for one in looked if one is not Standing.UNMET]
    return CaseColumn(
        number=number,
        key=case_key(case),
        title=str(case),
        chance=chance_words(case),
        n_one_look=sum(map(is_one_look, met)),
        n_met=len(met),
    )


def _cell(case: Case, standings: MemberStandings | None, only: Standing | None) -> Cell:
    number = str(case.id.number)
    is_at = Standing.UNMET if standings is None else standings.of(number)
    tally = None if standings is None else standings.tallies.get(number)
    return Cell(
        key=case_key(case),
        standing=is_at.value,
        n_one_look=0 if tally is None else tally.n_one_look,
        n_looked=0 if tally is None else tally.n_looked,
        is_met=tally is not None,
        is_shown=only in (None, is_at),
    )
