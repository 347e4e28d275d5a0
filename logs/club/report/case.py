"""One case in a club, week by week: did the group's recognition of it change?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from clubsite.accounts.models import User
from cubecore.cases import Case
from logs.club.figures import CaseFigures, CaseWeekPart, Spread, case_figures, case_figures_by_week
from logs.club.report.club import ERROR_PCT, WEEKS_SHOWN
from logs.club.report.standings import case_key
from logs.errors import NotFoundError
from logs.people.report.members import ClubMember, ClubView, club_view
from logs.progress.charts import over_time_figure
from logs.progress.report.time import PERIOD_LEVEL, PeriodTimes
from logs.solves.figures.weeks import week_of
from logs.solves.models.tallies import CaseWeekTally
from logs.solves.selectors.tallies import case_week_tally_list
from logs.stats.periods import FEW
from logs.stats.ranges import Range
from logs.stats.sketch import read_sketch
from logs.words import UNKNOWN, average, band, day_words, find_case

HALF = WEEKS_SHOWN // 2


@dataclass(frozen=True, slots=True)
class ClubCaseMet:
    """What some sightings of a case come to; a dash stands for a figure of too few.

    Attributes:
        n: Times met.
        n_looked: Those in which a look was made.
        n_one_look: Those done in one look.
        one_look: Their share of ``n_looked``.
        n_timed: Those done in one look that are timed; the times are theirs.
        recognition: Median.
        recognition_band: Where eight in ten lie.
        execution: Median.
        execution_band: Where eight in ten lie.
    """

    n: int
    n_looked: int
    n_one_look: int
    one_look: str
    n_timed: int
    recognition: str
    recognition_band: str
    execution: str
    execution_band: str


@dataclass(frozen=True, slots=True)
class ClubCaseWeeks:
    """A week, or several together: its name, how many members met the case in it, how that went."""

    name: str
    n_members: int
    met: ClubCaseMet


@dataclass(frozen=True, slots=True)
class ClubCaseMember:
    """A member, and how the case went for them over all the weeks."""

    member: ClubMember
    met: ClubCaseMet


@dataclass(frozen=True, slots=True)
class ClubCaseReport:
    """One case in a club over the last weeks.

    Attributes:
        view: The club and its members as the reader sees them.
        stage: Of the case.
        number: The case.
        title: The case in words.
        key: The case as an address names it.
        n: Times met in all the weeks.
        weeks: The newest first.
        halves: The later half of the weeks together, then the earlier half.
        members: By name.
        few: Below so many a figure is a dash.
        error_pct: So many parts in a hundred a median or an end of a band may be off.
        figure: The chart of recognition as plain values; None below two weeks to draw.
    """

    view: ClubView
    stage: str
    number: str
    title: str
    key: str
    n: int
    weeks: tuple[ClubCaseWeeks, ...]
    halves: tuple[ClubCaseWeeks, ...]
    members: tuple[ClubCaseMember, ...]
    few: int
    error_pct: int
    figure: dict[str, Any] | None

    @property
    def membership_ids(self) -> list[int]:
        """Whose figures the page shows."""
        return [line.member.membership_id for line in self.members]


def club_case_report(
    *,
    actor: User,
    slug: str,
    stage: str,
    number: str,
    hides_names: bool = False,
    now: datetime,
) -> ClubCaseReport:
    """A case in the club at ``slug``, of the members whose logs ``actor`` may read, for its coaches.

    Raises:
        NotFoundError: There is no such club or case, or the club is not the actor's to coach.
    """
    view = club_view(actor=actor, slug=slug, hides_names=hides_names)
    if not view.is_coach:
        raise NotFoundError("club")
    case = find_case(stage, number)
    if case is None:
        raise NotFoundError("case")
    last = week_of(now)
    first = last - timedelta(weeks=WEEKS_SHOWN - 1)
    tallies = case_week_tally_list(
        actor=actor, club=view.club_row, case=case.id, first=first, last=last
    )
    parts = _parts(tallies)
    by_week = case_figures_by_week(parts, first=first, last=last)
    return ClubCaseReport(
        view=view,
        stage=case.id.stage.value,
        number=str(case.id.number),
        title=str(case),
        key=case_key(case),
        n=sum(part.n for part in parts),
        weeks=tuple(_line(day_words(week), by_week[week]) for week in reversed(by_week)),
        halves=_halves(parts, middle=first + timedelta(weeks=HALF)),
        members=tuple(
            ClubCaseMember(
                one, _words(case_figures(part for part in parts if part.member == one.user_id))
            )
            for one in view.members
        ),
        few=FEW,
        error_pct=ERROR_PCT,
        figure=_figure(by_week, case),
    )


def _parts(tallies: Iterable[CaseWeekTally]) -> list[CaseWeekPart]:
    return [
        CaseWeekPart(
            week=tally.week,
            member=tally.member_id,
            n=tally.n,
            n_looked=tally.n_looked,
            n_one_look=tally.n_one_look,
            recognition=read_sketch(bytes(tally.recognition)),
            execution=read_sketch(bytes(tally.execution)),
        )
        for tally in tallies
        if tally.week is not None
    ]


def _halves(parts: list[CaseWeekPart], *, middle: date) -> tuple[ClubCaseWeeks, ...]:
    """The weeks since ``middle``, and those before: what a week alone has too few of."""
    later = case_figures(part for part in parts if part.week >= middle)
    earlier = case_figures(part for part in parts if part.week < middle)
    return (_line(f"The last {HALF} weeks", later), _line(f"The {HALF} weeks before", earlier))


def _line(name: str, figures: CaseFigures) -> ClubCaseWeeks:
    return ClubCaseWeeks(name, figures.n_members, _words(figures))


def _words(figures: CaseFigures) -> ClubCaseMet:
    share = figures.one_look_share
    recognition, recognition_band = _spread_words(figures.recognition)
    execution, execution_band = _spread_words(figures.execution)
    return ClubCaseMet(
        n=figures.n,
        n_looked=figures.n_looked,
        n_one_look=figures.n_one_look,
        one_look=UNKNOWN if share is None else f"{round(100 * share)}%",
        n_timed=figures.n_timed,
        recognition=recognition,
        recognition_band=recognition_band,
        execution=execution,
        execution_band=execution_band,
    )


def _spread_words(spread: Spread | None) -> tuple[str, str]:
    if spread is None:
        return UNKNOWN, UNKNOWN
    return average(spread.median_ms), band(spread.low_ms, spread.high_ms)


def _figure(by_week: Mapping[date, CaseFigures], case: Case) -> dict[str, Any] | None:
    """The weeks that have enough, as dots with bands."""
    weeks = [
        PeriodTimes(
            start=week,
            n=one.n_timed,
            median_ms=spread.median_ms,
            range_ms=Range(low=spread.low_ms, high=spread.high_ms, level=PERIOD_LEVEL),
        )
        for week, one in by_week.items()
        if (spread := one.recognition) is not None
    ]
    if len(weeks) < 2:
        return None
    return over_time_figure(weeks, unit="week", title=f"seconds to recognise {case.id}")
