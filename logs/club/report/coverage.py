"""Members by cases: who stands where, and what share of solves each of them covers."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from cubecore.cases import CASES, Case, Stage
from logs.cases.facts import chance_of, code_of, families_of
from logs.cases.report import CaseName, name_of
from logs.people.sight import ClubMember, ClubSight, ClubView, SightedMember
from logs.progress.report.coverage import (
    CoverageLine,
    MemberStandings,
    coverage_lines,
    member_standings,
)
from logs.solves.figures.standing import (
    FLUENT_FROM,
    TARGET_FACTOR,
    Standing,
)
from logs.solves.models.tallies import CaseTally
from logs.solves.selectors.frames import case_tally_list, coverage_tally_list


def is_one_look(standing: Standing) -> bool:
    """Whether the case goes in one look."""
    return standing in (Standing.ONE_LOOK, Standing.FLUENT)


def standings_by_member(tallies: Iterable[CaseTally]) -> dict[int, MemberStandings]:
    """The standings of every member who has a tally, by their account's id."""
    grouped = defaultdict(list)
    for tally in tallies:
        grouped[tally.member_id].append(tally)
    return {member_id: member_standings(own) for member_id, own in grouped.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseColumn:
    """A case on the grid.

    Attributes:
        case: The case.
        chance: How often it comes up, share of solves, 0..1.
        n_one_look: Members who have it in one look.
        n_met: Members who have looked at it.
    """

    case: CaseName
    chance: float
    n_one_look: int
    n_met: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """Where a member stands in a case.

    Attributes:
        code: The case in addresses, such as ``oll-27``.
        standing: Where the member stands.
        n_one_look: Looks in which it went in one.
        n_looked: Looks at it.
        is_met: Whether it ever came up.
        fits: Whether its standing is the one that was asked for.
    """

    code: str
    standing: Standing
    n_one_look: int
    n_looked: int
    is_met: bool
    fits: bool


@dataclass(frozen=True, slots=True)
class GridRow:
    """A member's line of the grid.

    Attributes:
        member: The member.
        cells: One for each column.
    """

    member: ClubMember
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class FamilyHead:
    """A family over the grid.

    Attributes:
        family: Its name.
        n_columns: Columns below it.
    """

    family: str
    n_columns: int


@dataclass(frozen=True, slots=True)
class StandingGrid:
    """Members by cases.

    Attributes:
        stage: The set of its cases.
        heads: Families over the grid.
        columns: Cases, families together.
        rows: Members.
    """

    stage: Stage
    heads: tuple[FamilyHead, ...]
    columns: tuple[CaseColumn, ...]
    rows: tuple[GridRow, ...]


def standing_grid(
    stage: Stage,
    cases: Iterable[Case],
    members: Sequence[SightedMember],
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
        only: The standing that is asked for; None fits all.
    """
    families = families_of(stage)
    ordered = sorted(cases, key=lambda case: families.index(case.family))
    of_members = [standings[one.user_id] for one in members if one.user_id in standings]
    heads = Counter(case.family for case in ordered)
    return StandingGrid(
        stage=stage,
        heads=tuple(FamilyHead(family, n) for family, n in heads.items()),
        columns=tuple(_column(case, of_members) for case in ordered),
        rows=tuple(
            GridRow(one, tuple(_cell(case, standings.get(one.user_id), only) for case in ordered))
            for one in members
        ),
    )


def _column(case: Case, standings: Iterable[MemberStandings]) -> CaseColumn:
    number = case.id.text
    looked = [one.standings[number] for one in standings if number in one.standings]
    met = [one for one in looked if one is not Standing.UNMET]
    return CaseColumn(
        case=name_of(case.id),
        chance=chance_of(case),
        n_one_look=sum(map(is_one_look, met)),
        n_met=len(met),
    )


def _cell(case: Case, standings: MemberStandings | None, only: Standing | None) -> Cell:
    number = case.id.text
    is_at = Standing.UNMET if standings is None else standings.of(number)
    tally = None if standings is None else standings.tallies.get(number)
    return Cell(
        code=code_of(case.id),
        standing=is_at,
        n_one_look=0 if tally is None else tally.n_one_look,
        n_looked=0 if tally is None else tally.n_looked,
        is_met=tally is not None,
        fits=only in (None, is_at),
    )


@dataclass(frozen=True, slots=True)
class ClubChoice:
    """What of a club's coverage is asked for.

    Attributes:
        stage: The set of cases.
        family: One family of it; empty for all.
        standing: Only cells of this standing; null for all.
        hides_names: Whether letters stand in place of names.
    """

    stage: Stage = Stage.OLL
    family: str = ""
    standing: Standing | None = None
    hides_names: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubReport:
    """A club's coverage.

    Attributes:
        view: The club and its members as the reader sees them.
        choice: What was asked for.
        coverage: A line for each member, in the order of names.
        grid: Members by cases.
        has_looks: Whether anybody has a look behind their name.
        is_filtered: Whether some cells or columns are left out by choice.
        fluent_factor: A recognition is fluent up to so many times the member's own middle one.
        fluent_from: Timed solves that stand behind it at least.
    """

    view: ClubView
    choice: ClubChoice
    coverage: tuple[CoverageLine, ...]
    grid: StandingGrid
    has_looks: bool
    is_filtered: bool
    fluent_factor: float
    fluent_from: int


def club_report(*, view: ClubSight, choice: ClubChoice) -> ClubReport:
    """A club, with the members whose logs its reader may read."""
    tallies = case_tally_list(sight=view, stage=choice.stage)
    standings = standings_by_member(tallies)
    coverage = coverage_tally_list(sight=view)
    cases = _chosen_cases(choice, standings.values())
    return ClubReport(
        view=view,
        choice=choice,
        coverage=coverage_lines(view.members, coverage, choice.stage),
        grid=standing_grid(choice.stage, cases, view.members, standings, only=choice.standing),
        has_looks=bool(tallies),
        is_filtered=bool(choice.family or choice.standing),
        fluent_factor=TARGET_FACTOR,
        fluent_from=FLUENT_FROM,
    )


def _chosen_cases(choice: ClubChoice, standings: Iterable[MemberStandings]) -> list[Case]:
    """The cases that fit the choice; a case nobody stands so in is left out."""
    cases = [
        case
        for case in CASES.values()
        if case.id.stage is choice.stage and choice.family in ("", case.family)
    ]
    if choice.standing in (None, Standing.UNMET):
        return cases
    held = {
        case
        for one in standings
        for case, is_at in one.standings.items()
        if is_at == choice.standing
    }
    return [case for case in cases if str(case.id.number) in held]
