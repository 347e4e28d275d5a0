"""Whether a case of a homework is done: read from the sightings since it was set, never ticked.

Solves alone verify; drills only say that a case is ready to be met (Simon and Bjork 2001:
practice on one thing shows acquisition, not transfer).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil

from logs.homework.due_dates import WEEKS_READ, weekly_pace
from logs.stats.adoption import DEFAULT_TEST, Adoption, AdoptionState, adoption, fewest_more

FEWEST_SIGHTINGS = ceil(DEFAULT_TEST.accept_at / DEFAULT_TEST.hit)
"""Sightings that verify a case when every one of them is as asked for: 3."""


_STATES = (  # of two tests of one case the first of these that either is in is the case's
    AdoptionState.ASK_COACH,
    AdoptionState.NOT_YET,
    AdoptionState.OPEN,
    AdoptionState.VERIFIED,
)


@dataclass(frozen=True, slots=True)
class Meeting:
    """One sighting of the case after homework was set.

    Attributes:
        solve_id: Its solve, or drill.
        done_at: When.
        n_looks: Looks that it took; 0 when the solve ended before one was made.
        is_one_look: It went in one look, by an algorithm of the book.
        recognition_ms: Of that look; None when the log does not tell.
    """

    solve_id: int
    done_at: datetime
    n_looks: int
    is_one_look: bool
    recognition_ms: int | None


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of a case.

    Attributes:
        one_look: That it goes in one look.
        recognition_ms: That its recognition takes at most so long; None when that is not asked.
    """

    one_look: bool = True
    recognition_ms: int | None = None

    def __post_init__(self) -> None:
        if not self.one_look and self.recognition_ms is None:
            raise ValueError("nothing is asked: one look, a recognition target, or both")


@dataclass(frozen=True, slots=True)
class CaseCheck:
    """How far a member is with a case.

    Attributes:
        state: As the sequential test has it; of two things asked, the one further behind.
        one_look: The test of one look, or None when that is not asked.
        recognition: The test of recognition, or None when that is not asked.
        read: The sightings that were read: all of them up to the verdict.
        drills: The test of the drills, by the same rule.
        n_more: How many more sightings it takes at the least; 0 when verified.
        verified_at: When the deciding solve was done; None while not verified.
    """

    state: AdoptionState
    one_look: Adoption | None
    recognition: Adoption | None
    read: tuple[Meeting, ...]
    drills: Adoption
    n_more: int
    verified_at: datetime | None

    @property
    def is_ready(self) -> bool:
        """The drills say that the case may be met."""
        return self.drills.state is AdoptionState.VERIFIED


def case_check(solves: Sequence[Meeting], drills: Sequence[Meeting], *, asked: Asked) -> CaseCheck:
    """The state of one case for one member.

    Every sighting counts, in order, but for those without a look: there nothing was tried. For
    one look a hit is a sighting in one look. For recognition the sightings in one look that were
    timed are read, and a hit is one within the target: what took two looks was not recognised as
    this case, and counts under one look.

    Args:
        solves: Sightings in solves done after homework was set, in any order.
        drills: The same of drills.
        asked: What the homework asks.
    """
    looked = _in_order(solves)
    tests: list[tuple[Adoption, list[Meeting]]] = []
    one_look = recognition = None
    if asked.one_look:
        one_look = adoption(one.is_one_look for one in looked)
        tests.append((one_look, looked))
    if asked.recognition_ms is not None:
        timed = [one for one in looked if one.is_one_look and one.recognition_ms is not None]
        recognition = adoption(_within(one, asked.recognition_ms) for one in timed)
        tests.append((recognition, timed))
    deciding = [rows[test.n - 1] for test, rows in tests if test.n]
    state = min((test.state for test, _ in tests), key=_STATES.index)
    is_done = state is AdoptionState.VERIFIED
    last = max(map(_moment, deciding), default=None)
    return CaseCheck(
        state=state,
        one_look=one_look,
        recognition=recognition,
        read=tuple(one for one in looked if not is_done or _moment(one) <= (last or _moment(one))),
        drills=adoption(one.is_one_look for one in _in_order(drills)),
        n_more=max(fewest_more(test) for test, _ in tests),
        verified_at=last[0] if is_done and last else None,
    )


def _in_order(meetings: Sequence[Meeting]) -> list[Meeting]:
    return sorted((one for one in meetings if one.n_looks), key=_moment)


def _moment(one: Meeting) -> tuple[datetime, int]:
    return one.done_at, one.solve_id


def _within(one: Meeting, target_ms: int) -> bool:
    return one.recognition_ms is not None and one.recognition_ms <= target_ms


WEEK = timedelta(days=7)


def weekly_counts(
    done_at: Sequence[datetime], *, since: datetime | None, now: datetime
) -> list[int]:
    """Solves of each of the last weeks, oldest first, quiet ones as 0.

    Weeks are runs of seven days that end ``now``: eight of them, or as many as the log is old.

    Args:
        done_at: When solves were done, in any order; others than of these weeks are left out.
        since: When the member's first solve was done; None without one.
        now: Aware.
    """
    if since is None or since >= now:
        return []
    n_weeks = min(WEEKS_READ, ceil((now - since) / WEEK))
    counts = [0] * n_weeks
    for at in done_at:
        weeks_ago = (now - at) // WEEK
        if at <= now and weeks_ago < n_weeks:
            counts[n_weeks - 1 - weeks_ago] += 1
    return counts


@dataclass(frozen=True, slots=True)
class Forecast:
    """What chance has to say on a due date for one member.

    Attributes:
        n_solves: Solves that it takes.
        pace: Solves a week to reckon with: the lower quartile of the last weeks.
        n_weeks: Weeks behind the pace.
        first_fair_on: The first date that would do; None when the pace is 0.
        is_fair: Whether the date is no sooner; no date at all is fair.
    """

    n_solves: int
    pace: float
    n_weeks: int
    first_fair_on: date | None
    is_fair: bool


def forecast(n_solves: int, *, counts: Sequence[int], today: date, due_on: date | None) -> Forecast:
    """The look at a date for one member, as `due_dates.due_date` has it.

    Args:
        n_solves: Solves needed, the same for every member (`due_dates.solves_needed`).
        counts: As from `weekly_counts`.
        today: In the club's zone.
        due_on: The date; a past one is never fair. None for no date.
    """
    pace = weekly_pace(counts)
    first = None
    if pace:
        days = ceil(n_solves * 7 / pace)
        while _solves_in(days - 1, pace) >= n_solves:  # where the quotient was rounded up
            days -= 1
        first = today + timedelta(days=days)
    is_fair = due_on is None or (first is not None and due_on >= first)
    return Forecast(n_solves, pace, len(counts), first, is_fair)


def _solves_in(days: int, pace: float) -> int:
    return int(pace * days / 7)
