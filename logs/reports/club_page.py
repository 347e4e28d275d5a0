"""The Club page: members by cases, and what share of solves each of them covers."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cubecore.cases import CASES, Case, Stage
from logs.analytics.standing import FLUENT_FROM, TARGET_FACTOR, Standing
from logs.reports.club_members import ClubMember, ClubView, club_view
from logs.reports.coverage_lines import CoverageLine, coverage_lines
from logs.reports.standings import (
    STANDING_WORDS,
    MemberStandings,
    is_one_look,
    standings_by_member,
)
from logs.reports.words import chance_words
from logs.selectors.tallies import case_tally_list, coverage_tally_list

if TYPE_CHECKING:
    from clubsite.accounts.models import User


@dataclass(frozen=True, slots=True)
class ClubChoice:
    """What the reader chose to see.

    Attributes:
        stage: The set of cases.
        family: One family of it, or empty for all.
        standing: Only cells of this standing, or None for all.
        hides_names: Whether names are hidden.
    """

    stage: Stage = Stage.OLL
    family: str = ""
    standing: Standing | None = None
    hides_names: bool = False


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
class ClubReport:
    """What the Club page shows.

    Attributes:
        view: The club and its members as the reader sees them.
        choice: What the reader chose.
        families: Families of the set.
        standings: Each standing with its meaning.
        coverage: A line for each member, in the order of names.
        heads: Families over the grid, each with how many columns it has.
        columns: Cases of the grid, families together.
        rows: Members of the grid.
        has_looks: Whether anybody has a look behind their name.
        is_filtered: Whether some cells or columns are left out by choice.
    """

    view: ClubView
    choice: ClubChoice
    families: tuple[str, ...]
    standings: tuple[tuple[str, str], ...]
    coverage: tuple[CoverageLine, ...]
    heads: tuple[tuple[str, int], ...]
    columns: tuple[CaseColumn, ...]
    rows: tuple[GridRow, ...]
    has_looks: bool
    is_filtered: bool
    fluent_factor: float = TARGET_FACTOR
    fluent_from: int = FLUENT_FROM


def families_of(stage: Stage) -> tuple[str, ...]:
    """The families of a set, in the order of their first case."""
    return tuple(dict.fromkeys(case.family for case in CASES.values() if case.id.stage is stage))


def club_report(*, actor: "User", slug: str, choice: ClubChoice) -> ClubReport:
    """The club at ``slug``, with the members whose logs ``actor`` may read.

    Raises:
        NotFoundError: There is no such club, or ``actor`` is not in it.
    """
    view = club_view(actor=actor, slug=slug, hides_names=choice.hides_names)
    tallies = case_tally_list(actor=actor, club=view.club, stage=choice.stage)
    standings = standings_by_member(tallies)
    coverage = coverage_tally_list(actor=actor, club=view.club)
    cases = _shown_cases(choice, standings.values())
    return ClubReport(
        view=view,
        choice=choice,
        families=families_of(choice.stage),
        standings=tuple((one.value, words) for one, words in STANDING_WORDS.items()),
        coverage=coverage_lines(view.members, coverage, choice.stage),
        heads=tuple(Counter(case.family for case in cases).items()),
        columns=tuple(_column(case, standings.values()) for case in cases),
        rows=tuple(
            GridRow(member, _cells(cases, standings.get(member.user_id), choice))
            for member in view.members
        ),
        has_looks=bool(tallies),
        is_filtered=bool(choice.family or choice.standing),
    )


def _shown_cases(choice: ClubChoice, standings: Iterable[MemberStandings]) -> list[Case]:
    """The cases that fit the choice, families together; a case nobody stands so in is left out."""
    families = families_of(choice.stage)
    cases = [
        case
        for case in CASES.values()
        if case.id.stage is choice.stage and choice.family in ("", case.family)
    ]
    cases.sort(key=lambda case: families.index(case.family))
    if choice.standing in (None, Standing.UNMET):
        return cases
    held = {
        case
        for one in standings
        for case, is_at in one.standings.items()
        if is_at == choice.standing
    }
    return [case for case in cases if str(case.id.number) in held]


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


def _cells(
    cases: Iterable[Case], standings: MemberStandings | None, choice: ClubChoice
) -> tuple[Cell, ...]:
    return tuple(_cell(case, standings, choice) for case in cases)


def _cell(case: Case, standings: MemberStandings | None, choice: ClubChoice) -> Cell:
    number = str(case.id.number)
    is_at = Standing.UNMET if standings is None else standings.of(number)
    tally = None if standings is None else standings.tallies.get(number)
    return Cell(
        key=case_key(case),
        standing=is_at.value,
        n_one_look=0 if tally is None else tally.n_one_look,
        n_looked=0 if tally is None else tally.n_looked,
        is_met=tally is not None,
        is_shown=choice.standing in (None, is_at),
    )
