"""The two parts of homework: a case learnt by a date, and what solves show of it afterwards.

Learning is read from drills, from the practice page or from a coach who was shown the case; chance
has no part in it. Solves alone verify (Simon and Bjork 2001: practice on one thing shows
acquisition, not transfer), and when they do is for chance to say.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from math import ceil, exp, log, log1p
from statistics import geometric_mean

import numpy as np
import pandas as pd
from scipy.special import ndtr

from logs.stats.grid import pooled_times
from logs.stats.pooling import blocks_ago, case_sums
from logs.stats.rates import (
    Adoption,
    AdoptionState,
    SequentialTest,
    adoption,
    bounded_null,
    fewest_more,
    rate_before,
    runs_against,
)

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
        step_ms: How fine that was taken; None where the log does not say.
        is_picked: Whether the member picked the solve to write it down.
    """

    solve_id: int
    done_at: datetime
    n_looks: int
    is_one_look: bool
    recognition_ms: int | None
    step_ms: int | None = None
    is_picked: bool = False


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
        n_more: How many more sightings it takes at the least; 0 when verified.
        verified_at: When the deciding solve was done; None while not verified.
        is_gain_asked: Whether the target lies far enough below what the member did before for
            solves to show a gain; where it does not, recognition is never verified.
    """

    state: AdoptionState
    one_look: Adoption | None
    recognition: Adoption | None
    read: tuple[Meeting, ...]
    n_more: int
    verified_at: datetime | None
    is_gain_asked: bool = True


GAIN_ASKED = 0.10
"""A target for recognition has to lie by this share below what the member takes now."""


BEFORE = 24
"""So many of the newest sightings before are what the member did before."""


FEWEST_TIMED = 3
"""Fewer times before do not tell what a case usually takes: the member's other cases do."""


@dataclass(frozen=True, slots=True)
class Usual:
    """What a member's other cases let expect of recognition at one that they hardly met.

    Attributes:
        log_ms: ln ms of the recognition that is usual; None where too few cases were timed.
        quick_log_ms: The same of a case that is as quick as one in ten.
        sigma: sd of ln ms within a case.
    """

    log_ms: float | None = None
    quick_log_ms: float = 0.0
    sigma: float = 0.0

    def share_within(self, target_ms: int) -> float:
        """Of recognition within a target what may well be no gain, 0..1."""
        if self.log_ms is None:
            return 0.0
        return float(ndtr((log(target_ms) - self.quick_log_ms) / self.sigma))


NOTHING_USUAL = Usual()

TIMED_CASES = 4
"""From so many other cases timed on it is told what recognition is usual."""

QUICK = 0.1
"""A case never timed may be as quick for the member as one in ten is."""

NEWEST_TIMES = 300
"""Older ones tell less of what is usual now."""


def usual(others: Mapping[str, Sequence[Meeting]], own: Sequence[Meeting] = ()) -> Usual:
    """What counts as no gain of a case with few sightings before, by partial pooling.

    It leans on all that the member sees in one look, as times on pages do. In worlds where nothing
    changes such a case is then verified in at most 5 % (`tests.worlds`).

    Args:
        others: Sightings before of each other case of the stage, by name, in any order.
        own: Sightings before of the case itself.
    """
    looked = {case: _in_order(meetings)[-BEFORE:] for case, meetings in others.items()}
    timed = [(case, one) for case, meetings in looked.items() for one in _timed(meetings)]
    if len({case for case, _ in timed}) < TIMED_CASES:
        return NOTHING_USUAL
    timed += [("", one) for one in _timed(own)]
    timed = sorted(timed, key=lambda pair: _moment(pair[1]))[-NEWEST_TIMES:]
    times = pd.Series([float(one.recognition_ms or 0) for _, one in timed], [c for c, _ in timed])
    is_timed = (times > 0).to_numpy()
    sums = case_sums(times[is_timed], cases=[""], blocks=blocks_ago(len(times))[is_timed])
    pooled = pooled_times(sums)
    if pooled is None:
        return NOTHING_USUAL
    place = pooled.cases.index("")
    quick, middle = (log(1000) + pooled.log_times.quantile(at)[place] for at in (QUICK, 0.5))
    return Usual(middle, quick, float(pooled.log_times.weights @ pooled.sigma))


def is_usual_wanted(before: Sequence[Meeting], asked: Asked) -> bool:
    """Whether too few times before tell what recognition would be a gain."""
    return asked.recognition_ms is not None and len(_timed(before)) < FEWEST_TIMED


def case_check(
    solves: Sequence[Meeting],
    *,
    asked: Asked,
    before: Sequence[Meeting] = (),
    borrowed: Usual = NOTHING_USUAL,
) -> CaseCheck:
    """The state of one case for one member, held against what they did before it was asked.

    Every sighting counts, in order, but for those without a look: there nothing was tried. For
    one look a hit is a sighting in one look. For recognition the sightings in one look that were
    timed are read, and a hit is one within the target: what took two looks was not recognised as
    this case, and counts under one look. Where neither the case nor the member's others tell what
    recognition was usual, the first ``FEWEST_TIMED`` times are what it is held against.

    Args:
        solves: Sightings in solves done after homework was set, in any order.
        asked: What the homework asks.
        before: Sightings in solves done before, in any order.
        borrowed: What the member's other cases say, which counts where these are too few.
    """
    looked, earlier = _in_order(solves), _in_order(before)[-BEFORE:]
    tests: list[tuple[Adoption, list[Meeting], Runs]] = []
    one_look = recognition = None
    is_gain_asked = True
    if asked.one_look:
        runs = _runs([meeting.is_one_look for meeting in earlier])
        one_look = adoption((meeting.is_one_look for meeting in looked), runs=runs)
        tests.append((one_look, looked, runs))
    if asked.recognition_ms is not None:
        target, timed, was = asked.recognition_ms, _timed(looked), _timed(earlier)
        if len(was) < FEWEST_TIMED and borrowed.log_ms is None:
            was, timed = [*was, *timed][:FEWEST_TIMED], [*was, *timed][FEWEST_TIMED:]
        is_gain_asked = _is_below(target, was, borrowed)
        if len(was) < FEWEST_TIMED:
            runs = runs_against(bounded_null(borrowed.share_within(target)))
        else:
            runs = _runs([is_within(meeting, target) for meeting in was])
        read = timed if is_gain_asked else []
        recognition = adoption((is_within(meeting, target) for meeting in read), runs=runs)
        tests.append((recognition, read, runs))
    deciding = [rows[test.n - 1] for test, rows, _ in tests if test.n]
    state = min((test.state for test, *_ in tests), key=_STATES.index)
    is_done = state is AdoptionState.VERIFIED
    last = max(map(_moment, deciding), default=None)
    return CaseCheck(
        state=state,
        one_look=one_look,
        recognition=recognition,
        read=tuple(
            meeting for meeting in looked if not is_done or last is None or _moment(meeting) <= last
        ),
        n_more=max(fewest_more(test, runs=runs) for test, _, runs in tests),
        verified_at=last[0] if is_done and last else None,
        is_gain_asked=is_gain_asked,
    )


Runs = Sequence[SequentialTest]


def _runs(hits: Sequence[bool]) -> Runs:
    """The test against what was done before: so many sightings as asked, of so many."""
    return runs_against(rate_before(sum(hits), len(hits)))


def _timed(meetings: Sequence[Meeting]) -> list[Meeting]:
    return [one for one in meetings if one.is_one_look and one.recognition_ms is not None]


def _is_below(target_ms: int, before: Sequence[Meeting], borrowed: Usual) -> bool:
    """Whether a target asks a gain: below what was usual before; where nobody knows that, yes."""
    times = [one.recognition_ms for one in before if one.recognition_ms]
    if len(times) >= FEWEST_TIMED:
        return target_ms <= (1 - GAIN_ASKED) * geometric_mean(times)
    return borrowed.log_ms is None or target_ms <= (1 - GAIN_ASKED) * exp(borrowed.log_ms)


def _in_order(meetings: Sequence[Meeting]) -> list[Meeting]:
    return sorted((meeting for meeting in meetings if meeting.n_looks), key=_moment)


def _moment(meeting: Meeting) -> tuple[datetime, int]:
    return meeting.done_at, meeting.solve_id


def is_within(meeting: Meeting, target_ms: int | None) -> bool:
    """Whether the recognition of a sighting is known and within the target; none is met by all."""
    if target_ms is None:
        return True
    return meeting.recognition_ms is not None and meeting.recognition_ms <= target_ms


def is_hit(meeting: Meeting, asked: Asked) -> bool:
    """Whether a sighting was all that is asked."""
    return meeting.is_one_look and is_within(meeting, asked.recognition_ms)


class Way(StrEnum):
    """How a case is learnt by the date."""

    DRILLS = "drills"
    PRACTICE = "practice"
    COACH = "coach"


USUAL_NUMBER = {Way.DRILLS: 5, Way.PRACTICE: 6}
"""Clean drills, or right answers running, where a coach picks no other number: our own choice."""


MOST_WANTED = 20


class DrillWord(StrEnum):
    """What a member says of a drill that the house dealt."""

    CLEAN = "clean"
    STUMBLED = "stumbled"
    DID_NOT_KNOW = "did_not_know"


class LearnState(StrEnum):
    """Where the first part stands."""

    OPEN = "open"
    READY = "ready"
    SHOWN = "shown"


@dataclass(frozen=True, slots=True)
class Drill:
    """A drill of the case after it was asked for.

    Attributes:
        at: When it was done.
        is_clean: It went in one look by an algorithm of the book, or the member says it went clean.
        is_from_log: It was read from the turns of a log; else it is the member's own word.
    """

    at: datetime
    is_clean: bool
    is_from_log: bool


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer of the practice page on the case, after it was asked for.

    Attributes:
        at: When it was given.
        is_hold: The hold was asked; else which case it is.
        is_right: It was right.
    """

    at: datetime
    is_hold: bool
    is_right: bool


@dataclass(frozen=True, slots=True)
class Learning:
    """How far the first part is.

    Attributes:
        state: Open, ready (the number is reached) or shown (to the coach, who says so).
        n_from_log: Drills that went clean, as the turns of a log tell.
        n_by_word: Drills that went clean by the member's own word.
        n_told_running: Right answers on which case it is, running: the most since it was asked for.
        n_held_running: The same of how to hold it; None where every hold is the same.
        ready_at: When the number was reached; None while it is not.
    """

    state: LearnState
    n_from_log: int
    n_by_word: int
    n_told_running: int
    n_held_running: int | None
    ready_at: datetime | None


def learning(
    drills: Iterable[Drill],
    answers: Iterable[Answer],
    *,
    way: Way,
    n_wanted: int | None,
    is_shown: bool,
    has_hold: bool = True,
) -> Learning:
    """How far a member is with learning one case.

    Args:
        drills: Its drills since it was asked for, in any order.
        answers: Its answers on the practice page since then, in any order.
        way: How it is to be learnt.
        n_wanted: Clean drills, or right answers running; None where the coach is shown it.
        is_shown: The coach says that they were shown it.
        has_hold: Whether the case looks different from its four sides.
    """
    clean = sorted((drill for drill in drills if drill.is_clean), key=lambda drill: drill.at)
    in_order = sorted(answers, key=lambda answer: answer.at)
    n_told, told_at = _longest_run(in_order, n_wanted, is_hold=False)
    n_held, held_at = _longest_run(in_order, n_wanted, is_hold=True)
    ready_at = None
    if n_wanted is not None and way is Way.DRILLS and len(clean) >= n_wanted:
        ready_at = clean[n_wanted - 1].at
    elif way is Way.PRACTICE and told_at is not None:
        ready_at = told_at if not has_hold else max(told_at, held_at) if held_at else None
    state = LearnState.OPEN if ready_at is None else LearnState.READY
    return Learning(
        state=LearnState.SHOWN if is_shown else state,
        n_from_log=sum(drill.is_from_log for drill in clean),
        n_by_word=sum(not drill.is_from_log for drill in clean),
        n_told_running=n_told,
        n_held_running=n_held if has_hold else None,
        ready_at=ready_at,
    )


def _longest_run(
    answers: Sequence[Answer], n_wanted: int | None, *, is_hold: bool
) -> tuple[int, datetime | None]:
    """The most right answers running, and when as many as are wanted were first reached."""
    longest = running = 0
    reached_at = None
    for answer in answers:
        if answer.is_hold is not is_hold:
            continue
        running = running + 1 if answer.is_right else 0
        longest = max(longest, running)
        if running == n_wanted and reached_at is None:
            reached_at = answer.at
    return longest, reached_at


HALF = 0.5


def solves_until_met(chance: float, *, share: float = HALF) -> int:
    """The fewest solves that bring a case with chance ``share``: ``1 - (1 - p)^n`` reaches it.

    Args:
        chance: Of the case in one solve, above 0, below 1.
        share: Above 0, below 1.

    Raises:
        ValueError: One of them is out of range.
    """
    if not 0 < chance < 1 or not 0 < share < 1:
        raise ValueError(f"chance is {chance} and share {share}: both between 0 and 1")
    return ceil(log(1 - share) / log1p(-chance) - 1e-9)


WEEKS_READ = 8


def weekly_pace(weekly_counts: Sequence[int]) -> float:
    """Solves in a slow week: the lower quartile of the last eight weeks, quiet ones too.

    Args:
        weekly_counts: Solves of each week, oldest first; of none the pace is 0.
    """
    return _quantile(weekly_counts, 0.25)


def usual_week(weekly_counts: Sequence[int]) -> float:
    """Solves in a usual week: the median of the last eight weeks; of none 0."""
    return _quantile(weekly_counts, 0.5)


def _quantile(weekly_counts: Sequence[int], share: float) -> float:
    if not weekly_counts:
        return 0.0
    return float(np.quantile(list(weekly_counts)[-WEEKS_READ:], share))


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
