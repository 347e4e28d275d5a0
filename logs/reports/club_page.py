"""The Club page: members by cases, and what share of solves each of them covers."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cubecore.cases import CASES, Case, Stage
from logs.analytics.standing import FLUENT_FROM, TARGET_FACTOR, Standing
from logs.reports.club_members import ClubView, club_view
from logs.reports.coverage_lines import CoverageLine, coverage_lines
from logs.reports.standing_grid import StandingGrid, families_of, standing_grid
from logs.reports.standings import STANDING_WORDS, MemberStandings, standings_by_member
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
class ClubReport:
    """What the Club page shows.

    Attributes:
        view: The club and its members as the reader sees them.
        choice: What the reader chose.
        families: Families of the set.
        standings: Each standing with its meaning.
        coverage: A line for each member, in the order of names.
        grid: Members by cases.
        has_looks: Whether anybody has a look behind their name.
        is_filtered: Whether some cells or columns are left out by choice.
    """

    view: ClubView
    choice: ClubChoice
    families: tuple[str, ...]
    standings: tuple[tuple[str, str], ...]
    coverage: tuple[CoverageLine, ...]
    grid: StandingGrid
    has_looks: bool
    is_filtered: bool
    fluent_factor: float = TARGET_FACTOR
    fluent_from: int = FLUENT_FROM


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
        grid=standing_grid(choice.stage, cases, view.members, standings, only=choice.standing),
        has_looks=bool(tallies),
        is_filtered=bool(choice.family or choice.standing),
    )


def _shown_cases(choice: ClubChoice, standings: Iterable[MemberStandings]) -> list[Case]:
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
