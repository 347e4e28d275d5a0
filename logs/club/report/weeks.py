"""A club week by week: its last layers, and one case; did the group's recognition change?"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from clubsite.accounts.models import User
from logs.cases.report import CaseName, name_of
from logs.club.figures import CaseFigures, CaseWeekPart, Spread, case_figures, case_figures_by_week
from logs.errors import NotFoundError
from logs.people.sight import ClubMember, ClubSight, ClubView, club_sight
from logs.solves.figures.counts import WeekFigures, WeekPart, week_figures, week_of
from logs.solves.figures.instruments import timed_alike
from logs.solves.models.tallies import CaseWeekTally, WeekTally
from logs.solves.selectors.alike import main_instruments
from logs.solves.selectors.frames import case_week_tally_list, week_tally_list
from logs.stats import Range
from logs.stats.periods import FEW
from logs.stats.sketch import ALPHA, EMPTY, read_sketch
from logs.words import find_case

WEEKS_SHOWN = 12
HALF = WEEKS_SHOWN // 2
MIDDLE_LEVEL = 0.80
"""Share of the times that lie between the 10th and the 90th percentile."""


@dataclass(frozen=True, slots=True)
class TimesMet:
    """Times of looks.

    Attributes:
        median_ms: Median, ms, within ``error_share`` of the exact one.
        range_ms: Where the middle eight tenths of the times lie, ms.
    """

    median_ms: float
    range_ms: Range


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseMet:
    """What some sightings of a case come to; null stands for a figure of too few.

    Attributes:
        n: Times met.
        n_looked: Those in which a look was made.
        n_one_look: Those done in one look.
        one_look_share: Their share of ``n_looked``, 0..1; null with fewer looks than ``few``.
        n_timed: Those done in one look that are timed; the times are theirs.
        recognition: Their recognition; null with fewer times than ``few``.
        execution: Their execution; null with fewer times than ``few``.
    """

    n: int
    n_looked: int
    n_one_look: int
    one_look_share: float | None
    n_timed: int
    recognition: TimesMet | None
    execution: TimesMet | None


@dataclass(frozen=True, slots=True)
class CaseWeeks:
    """A week, or several together.

    Attributes:
        first_on: Monday of the first week.
        n_weeks: How many weeks.
        n_members: Members who met the case in them.
        met: How that went.
    """

    first_on: date
    n_weeks: int
    n_members: int
    met: CaseMet


@dataclass(frozen=True, slots=True)
class CaseOfMember:
    """A member, and how the case went for them over all the weeks.

    Attributes:
        member: The member.
        met: How it went.
    """

    member: ClubMember
    met: CaseMet


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubCaseReport:
    """One case in a club over the last weeks.

    Attributes:
        view: The club and its members as the reader sees them.
        case: The case.
        n: Times met in all the weeks.
        weeks: The newest first.
        halves: The later half of the weeks together, then the earlier half.
        members: By name; each with their own times.
        n_unlike: Members whose times the weeks leave out: another instrument took them.
        few: Below so many a figure is null.
        error_share: A median or an end of a range may be off by this share, 0..1.
    """

    view: ClubView
    case: CaseName
    n: int
    weeks: tuple[CaseWeeks, ...]
    halves: tuple[CaseWeeks, ...]
    members: tuple[CaseOfMember, ...]
    n_unlike: int
    few: int
    error_share: float

    @property
    def membership_ids(self) -> list[int]:
        """Whose figures the page shows."""
        return [line.member.membership_id for line in self.members]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubWeek:
    """One week of a club.

    Attributes:
        first_on: Its Monday.
        n_members: Members who solved.
        n_solves: Solves.
        n_timed: Solves whose last layer is timed.
        last_layer_ms: Median of the last layer, ms; null without times.
        last_layer_range: Where the middle eight tenths of those times lie, ms; null without times.
        n_unlike: Members whose times are left out: another instrument took them.
    """

    first_on: date
    n_members: int
    n_solves: int
    n_timed: int
    last_layer_ms: float | None
    last_layer_range: Range | None
    n_unlike: int


def club_case_report(
    *,
    actor: User,
    slug: str,
    stage: str,
    number: str,
    hides_names: bool = False,
    group_id: int | None = None,
    now: datetime,
) -> ClubCaseReport:
    """A case in the club at ``slug``, of the members whose logs ``actor`` may read, for its coaches.

    Raises:
        NotFoundError: There is no such club or case, or the club is not the actor's to coach.
    """
    view = club_sight(actor=actor, slug=slug, hides_names=hides_names, group_id=group_id)
    if not view.is_coach:
        raise NotFoundError("club")
    case = find_case(stage, number)
    if case is None:
        raise NotFoundError("case")
    last = week_of(now)
    first = last - timedelta(weeks=WEEKS_SHOWN - 1)
    tallies = case_week_tally_list(sight=view, case=case.id, first=first, last=last)
    parts = _parts(tallies)
    timed = {part.member for part in parts if part.recognition.n}
    unlike = _unlike(view, timed)
    pooled = [
        replace(part, recognition=EMPTY, execution=EMPTY) if part.member in unlike else part
        for part in parts
    ]
    by_week = case_figures_by_week(pooled, first=first, last=last)
    return ClubCaseReport(
        view=view,
        case=name_of(case.id),
        n=sum(part.n for part in parts),
        weeks=tuple(_weeks(week, 1, by_week[week]) for week in reversed(by_week)),
        halves=_halves(pooled, first=first),
        members=tuple(
            CaseOfMember(
                member, _met(case_figures(part for part in parts if part.member == member.user_id))
            )
            for member in view.members
        ),
        n_unlike=len(unlike),
        few=FEW,
        error_share=ALPHA,
    )


def _unlike(sight: ClubSight, timed: Collection[int]) -> set[int]:
    """Of members who have times, those whose times do not stand with the others'."""
    if not timed:
        return set()
    used = main_instruments(sight=sight)
    return set(timed) - timed_alike({member: used[member] for member in timed if member in used})


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


def _halves(parts: list[CaseWeekPart], *, first: date) -> tuple[CaseWeeks, ...]:
    """The later half of the weeks, and the earlier: what a week alone has too few of."""
    middle = first + timedelta(weeks=HALF)
    later = case_figures(part for part in parts if part.week >= middle)
    earlier = case_figures(part for part in parts if part.week < middle)
    return (_weeks(middle, HALF, later), _weeks(first, HALF, earlier))


def _weeks(first_on: date, n_weeks: int, figures: CaseFigures) -> CaseWeeks:
    return CaseWeeks(first_on, n_weeks, figures.n_members, _met(figures))


def _met(figures: CaseFigures) -> CaseMet:
    return CaseMet(
        n=figures.n,
        n_looked=figures.n_looked,
        n_one_look=figures.n_one_look,
        one_look_share=figures.one_look_share,
        n_timed=figures.n_timed,
        recognition=_times(figures.recognition),
        execution=_times(figures.execution),
    )


def _times(spread: Spread | None) -> TimesMet | None:
    if spread is None:
        return None
    span = Range(low=spread.low_ms, high=spread.high_ms, level=MIDDLE_LEVEL)
    return TimesMet(spread.median_ms, span)


def last_layer_parts(tallies: Iterable[WeekTally]) -> list[WeekPart]:
    """Solves and their last layers, for `logs.solves.figures.counts.week_figures`."""
    return [
        WeekPart(tally.week, tally.n, read_sketch(bytes(tally.last_layer)), tally.member_id)
        for tally in tallies
        if tally.week is not None
    ]


def club_weeks(*, sight: ClubSight, now: datetime) -> tuple[ClubWeek, ...]:
    """The last ``WEEKS_SHOWN`` weeks of the members whose logs the reader may open, newest first.

    None where nobody did anything in them.
    """
    last = week_of(now)
    first = last - timedelta(weeks=WEEKS_SHOWN - 1)
    tallies = week_tally_list(sight=sight, first=first, last=last)
    if not tallies:
        return ()
    parts = last_layer_parts(tallies)
    unlike = _unlike(sight, {part.member for part in parts if part.times.n})
    left_out: dict[date, set[int]] = {}
    for part in parts:
        if part.member in unlike and part.times.n:
            left_out.setdefault(part.week, set()).add(part.member)
    pooled = [replace(part, times=EMPTY) if part.member in unlike else part for part in parts]
    figures = week_figures(pooled, first=first, last=last)
    return tuple(_week(week, len(left_out.get(week.week, ()))) for week in reversed(figures))


def _week(week: WeekFigures, n_unlike: int) -> ClubWeek:
    span = None
    if week.low_ms is not None and week.high_ms is not None:
        span = Range(low=week.low_ms, high=week.high_ms, level=MIDDLE_LEVEL)
    return ClubWeek(
        first_on=week.week,
        n_members=week.n_members,
        n_solves=week.n,
        n_timed=week.n_timed,
        last_layer_ms=week.median_ms,
        last_layer_range=span,
        n_unlike=n_unlike,
    )
