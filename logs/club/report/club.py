"""The Club page: members by cases, and what share of solves each of them covers."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from clubsite.accounts.models import User
from cubecore.cases import CASES, Case, Stage
from logs.cases.facts import families_of
from logs.club.report.standings import (
    STANDING_WORDS,
    MemberStandings,
    StandingGrid,
    standing_grid,
    standings_by_member,
)
from logs.people.models import Club
from logs.people.report.members import ClubView, club_view
from logs.progress.report.coverage import CoverageLine, coverage_lines
from logs.solves.figures.standing import FLUENT_FROM, TARGET_FACTOR, Standing
from logs.solves.figures.weeks import WeekFigures, WeekPart, week_figures, week_of
from logs.solves.models.tallies import WeekTally
from logs.solves.selectors.tallies import case_tally_list, coverage_tally_list, week_tally_list
from logs.stats.sketch import ALPHA, read_sketch
from logs.words import average, band, day_words


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


def club_report(*, actor: User, slug: str, choice: ClubChoice) -> ClubReport:
    """The club at ``slug``, with the members whose logs ``actor`` may read.

    Raises:
        NotFoundError: There is no such club, or ``actor`` is not in it.
    """
    view = club_view(actor=actor, slug=slug, hides_names=choice.hides_names)
    tallies = case_tally_list(actor=actor, club=view.club_row, stage=choice.stage)
    standings = standings_by_member(tallies)
    coverage = coverage_tally_list(actor=actor, club=view.club_row)
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


WEEKS_SHOWN = 12


ERROR_PCT = round(100 * ALPHA)
"""So many parts in a hundred a median or percentile of weeks may be off."""


@dataclass(frozen=True, slots=True)
class WeekLine:
    """One week of the club; a dash stands for figures of no times."""

    begins: str
    n_members: int
    n_solves: int
    n_timed: int
    median: str
    band: str


def last_layer_parts(tallies: Iterable[WeekTally]) -> list[WeekPart]:
    """Solves and their last layers, for `logs.solves.figures.weeks.week_figures`."""
    return [
        WeekPart(tally.week, tally.n, read_sketch(bytes(tally.last_layer)), tally.member_id)
        for tally in tallies
        if tally.week is not None
    ]


def club_weeks(*, actor: User, club: Club, now: datetime) -> tuple[WeekLine, ...]:
    """The last ``WEEKS_SHOWN`` weeks of the members that ``actor`` may read, the newest first.

    None where nobody did anything in them.
    """
    last = week_of(now)
    first = last - timedelta(weeks=WEEKS_SHOWN - 1)
    tallies = week_tally_list(actor=actor, club=club, first=first, last=last)
    if not tallies:
        return ()
    figures = week_figures(last_layer_parts(tallies), first=first, last=last)
    return tuple(_line(week) for week in reversed(figures))


def _line(week: WeekFigures) -> WeekLine:
    return WeekLine(
        begins=day_words(week.week),
        n_members=week.n_members,
        n_solves=week.n,
        n_timed=week.n_timed,
        median=average(week.median_ms),
        band=band(week.low_ms, week.high_ms),
    )
