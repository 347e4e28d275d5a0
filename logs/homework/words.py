"""Homework in words: what is asked, how far a case is, what times say before and since."""

from collections.abc import Sequence

from django.template import Library

from logs.homework.figures import LearnState, Way
from logs.homework.report.data import (
    AssignmentReport,
    CaseProgress,
    CaseState,
    Expectation,
    Head,
    LearnReport,
    MeetingLine,
    SolvesCheck,
    TestCount,
)
from logs.homework.report.effect import EffectReport, RateEffect, TimeEffect
from logs.stats import Range
from logs.stats.grid import LIKELY, likelihood
from logs.stats.rates import AdoptionState
from logs.words import average, day_words, solves, times

register = Library()

TOGETHER = "look at it together"


TO_DO = (CaseState.OPEN, CaseState.TOGETHER)


@register.filter
def goal(head: Head) -> str:
    """What solves show of each case."""
    if head.recognition_target_ms is None:
        return "one look in real solves"
    target = average(head.recognition_target_ms)
    if head.goal == "recognition":
        return f"seen within {target} s in real solves"
    return f"one look, and seen within {target} s, in real solves"


@register.filter
def way(head: Head) -> str:
    """How each case is learnt."""
    n = head.n_wanted
    if head.way is Way.COACH:
        return "shown to the coach"
    if head.way is Way.PRACTICE:
        return f"told right and held right on the practice page, {n} of {n} running"
    return "1 clean drill" if n == 1 else f"{n} clean drills"


@register.filter
def state_word(state: CaseState) -> str:
    """The state as one word or a few."""
    return TOGETHER if state is CaseState.TOGETHER else state.value


@register.filter
def to_learn(asked: AssignmentReport) -> list[CaseProgress]:
    """The cases at which there is something to do."""
    return [case for case in asked.member.cases if case.state in TO_DO]


@register.filter
def learnt(asked: AssignmentReport) -> list[CaseProgress]:
    """The cases that are learnt and wait for solves, or are verified."""
    return [case for case in asked.member.cases if case.state not in (*TO_DO, CaseState.EXCUSED)]


@register.filter
def n_learnt(homework: Sequence[AssignmentReport]) -> int:
    """How many cases of some homework are learnt."""
    return sum(len(learnt(asked)) for asked in homework)


@register.filter
def own_finding(homework: Sequence[AssignmentReport]) -> str:
    """What there is to do, in one sentence: ``3 cases to learn. 5 are learnt, 1 of them ...``."""
    n_open, n_done = sum(len(to_learn(asked)) for asked in homework), n_learnt(homework)
    n_verified = sum(asked.member.n_verified for asked in homework)
    to_do = (
        f"{n_open} case{'' if n_open == 1 else 's'} to learn." if n_open else "Nothing to learn."
    )
    if not n_done:
        return to_do
    verb = "is" if n_done == 1 else "are"
    verified = f", {n_verified} of them verified in solves" if n_verified else ""
    return f"{to_do} {n_done} {verb} learnt{verified}."


@register.filter
def short(case: CaseProgress) -> str:
    """The state for a cell of a table: ``open, 2 of 5``, ``ready; in solves 1 of 2``."""
    counts = _short_counts(case.solves)
    if case.state in (CaseState.VERIFIED, CaseState.TOGETHER):
        return f"{state_word(case.state)}, {counts}"
    word = state_word(case.state)
    if case.state is CaseState.OPEN and case.learn.n_wanted is not None:
        word += f", {case.learn.n_done} of {case.learn.n_wanted}"
    if case.state is CaseState.EXCUSED or not case.solves.n_met:
        return word
    return f"{word}; in solves {counts}"


def _short_counts(report: SolvesCheck) -> str:
    """Hits of sightings, of each thing asked."""
    if report.one_look is not None and report.recognition is not None:
        return f"in one look {_of(report.one_look)}, in time {_of(report.recognition)}"
    test = report.one_look or report.recognition
    return "" if test is None else _of(test)


def _of(test: TestCount) -> str:
    return f"{test.n_hits} of {test.n}"


@register.filter
def learn_words(case: CaseProgress, head: Head) -> str:
    """The first part as a sentence or two; of drills it says where they are known from."""
    parts = [_done_words(case.learn, head)] if head.way is not Way.COACH else []
    if case.learn.state == LearnState.READY:
        parts.append("Ready to be met in solves.")
    if case.learn.shown_at is not None:
        day = day_words(case.learn.shown_at.astimezone(head.time_zone).date())
        parts.append(f"Shown to the coach on {day}.")
    elif head.way is Way.COACH:
        parts.append("Not shown to the coach yet.")
    return " ".join(parts)


def _done_words(learn: LearnReport, head: Head) -> str:
    if head.way is Way.DRILLS:
        count = f"{learn.n_done} of {learn.n_wanted} drills clean"
        sources = []
        if learn.n_from_log:
            sources.append(f"{learn.n_from_log} read from a log")
        if learn.n_by_word:
            sources.append(f"{learn.n_by_word} by own word")
        return f"{count}: {', '.join(sources)}." if sources else f"{count}."
    count = f"Told right {learn.n_told_running} running"
    if learn.n_held_running is not None:
        count += f", held right {learn.n_held_running} running"
    return f"{count}, of {learn.n_wanted} wanted."


@register.filter
def solves_words(case: CaseProgress, head: Head) -> str:
    """The second part as sentences; what chance has not brought yet is said as that."""
    report = case.solves
    if not report.is_gain_asked:
        return (
            "The target is no tenth below what was usual before, so solves cannot show a gain:"
            " a shorter one can be met."
        )
    if not report.n_met:
        return "It has not come up in a solve yet."
    counts = _full_counts(report, head)
    if case.state is CaseState.VERIFIED:
        assert report.verified_at is not None
        day = day_words(report.verified_at.astimezone(head.time_zone).date())
        return f"Verified on {day}: {counts}."
    if report.state == AdoptionState.ASK_COACH:
        return (
            f"The solves do not settle it: {counts}. Member and coach look at this case together."
        )
    came_up = f"It came up in {solves(report.n_met)} since: {counts}."
    more = f"At least {report.n_more} more as asked verify it."
    if report.is_anew:
        return f"{came_up} The count begins anew from here. {more}"
    return f"{came_up} {more}"


def _full_counts(report: SolvesCheck, head: Head) -> str:
    parts = []
    if report.one_look is not None:
        parts.append(f"in one look {_of_times(report.one_look)}")
    if report.recognition is not None and head.recognition_target_ms is not None:
        within = f"seen within {average(head.recognition_target_ms)} s"
        parts.append(f"{within} {_of_times(report.recognition)}")
    return ", ".join(parts)


def _of_times(test: TestCount) -> str:
    return f"{test.n_hits} of {times(test.n)}"


@register.filter
def expectation_words(expectation: Expectation | None) -> str:
    """How soon chance brings the case, in one sentence; empty where it is not told."""
    if expectation is None:
        return ""
    within = f"Comes up within {solves(expectation.n_solves)}"
    if expectation.n_weeks is None:
        return f"{within} (half of the time)."
    pace = f"at {expectation.per_week:.0f} a week {_weeks(expectation.n_weeks)}"
    return f"{within}, {pace} (half of the time)."


def _weeks(n_weeks: float) -> str:
    if n_weeks < 1:
        return "in less than a week"
    n = round(n_weeks)
    return "in about a week" if n == 1 else f"in about {n} weeks"


@register.filter
def looks(line: MeetingLine) -> str:
    """How a case went in a solve."""
    if line.is_of_book:
        return "one look"
    return (
        "one look, but no algorithm of the book" if line.n_looks == 1 else f"{line.n_looks} looks"
    )


@register.filter
def time_effect(report: EffectReport) -> str:
    """The change of time in words of the one scale, with its range and counts."""
    effect = report.time
    if effect is None:
        if not report.before:
            return "No timed solve before it was set: there is nothing to compare with."
        return f"No timed solve since: cannot tell yet, about {solves(report.once_in)} bring one."
    counts = f"{times(effect.n_before)} before, {times(effect.n_since)} since"
    span = _span(effect.ratio_range)
    if effect.n_more_solves is not None:
        return (
            f"Cannot tell yet: so far {span} time ({counts}). About {effect.n_more_solves:,} more"
            " solves would show a quarter less."
        )
    if max(effect.p_faster, effect.p_slower) < LIKELY:
        return f"Nothing found so far: {span} time ({counts})."
    word = likelihood(max(effect.p_faster, effect.p_slower)).value.capitalize()
    if effect.p_faster >= LIKELY:
        return f"{word} faster: {_less(effect.ratio)} (likely {span}; {counts})."
    return (
        f"{word} slower so far: {_less(effect.ratio)} (likely {span}; {counts})."
        " A new algorithm can be slower at first."
    )


def _less(ratio: float) -> str:
    """``0.81`` as 19% less time."""
    percent = round(100 * (1 - ratio))
    if percent == 0:
        return "as much time"
    return f"{abs(percent)}% {'less' if percent > 0 else 'more'} time"


def _span(ratios: Range) -> str:
    """Two ratios as a range, what they share said once: ``18 to 33% less``."""
    ends = [round(100 * (1 - ratio)) for ratio in (ratios.high, ratios.low)]
    if min(ends) >= 0:
        return f"{ends[0]} to {ends[1]}% less"
    if max(ends) <= 0:
        return f"{-ends[1]} to {-ends[0]}% more"
    return f"from {-ends[0]}% more to {ends[1]}% less"


@register.filter
def rate_effect(effect: RateEffect | None) -> str:
    """The change of the one-look rate; empty without looks on both sides."""
    if effect is None:
        return ""
    before = f"{effect.n_hits_before} of {times(effect.n_before)} before"
    counts = f"{before}, {effect.n_hits_since} of {times(effect.n_since)} since"
    is_more = effect.n_hits_since * effect.n_before > effect.n_hits_before * effect.n_since
    if effect.p_larger < LIKELY or not is_more:
        return f"In one look {counts}."
    return f"In one look {counts}: {likelihood(effect.p_larger).value} more often now."


@register.filter
def control(effect: TimeEffect | None) -> str:
    """What the change of time is net of; empty without one."""
    if effect is None:
        return ""
    n = effect.n_control
    if not n:
        return "No other case was timed on both sides, done the same way, so nothing is taken off."
    cases = "1 other case" if n == 1 else f"{n} other cases"
    return f"Net of {cases} done the same way, which took {_less(effect.control_ratio)} meanwhile."


@register.filter
def n_picked(meetings: Sequence[MeetingLine]) -> int:
    """How many of the solves behind a figure were picked to be written down."""
    return sum(line.is_picked for line in meetings)
