"""What the check of a homework says of a case, in plain words."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.template import Library

from logs.homework.figures import Asked, CaseCheck
from logs.stats.adoption import Adoption, AdoptionState
from logs.words import average, times

register = Library()


def goal_words(asked: Asked) -> str:
    """What is asked of each case."""
    if asked.recognition_ms is None:
        return "one look in real solves"
    target = average(asked.recognition_ms)
    if not asked.one_look:
        return f"seen within {target} s in real solves"
    return f"one look, and seen within {target} s, in real solves"


def short_words(check: CaseCheck) -> str:
    """The state for a cell of a table."""
    counts = _counts(check)
    if check.state is AdoptionState.VERIFIED:
        return f"verified, {counts}"
    if check.state is AdoptionState.ASK_COACH:
        return f"look at it together, {counts}"
    if _is_not_yet(check):
        return f"not yet, {counts}"
    said = f"under way, {counts}" if check.read else "not met yet"
    return said + (", ready from drills" if check.is_ready else "")


def _counts(check: CaseCheck) -> str:
    """Hits of sightings, of each thing asked."""
    if check.one_look is None or check.recognition is None:
        (test,) = (test for test in (check.one_look, check.recognition) if test is not None)
        return f"{test.n_hits} of {test.n}"
    seen = check.recognition
    return (
        f"in one look {check.one_look.n_hits} of {check.one_look.n}, in time"
        f" {seen.n_hits} of {seen.n}"
    )


def state_words(check: CaseCheck, *, asked: Asked, zone: ZoneInfo, is_own: bool) -> str:
    """The state as sentences for the member or their coach."""
    said = _said(check, asked)
    if check.state is AdoptionState.VERIFIED:
        assert check.verified_at is not None
        return f"Verified on {_day(check.verified_at, zone)}: {said}."
    more = f"It takes at least {check.n_more} more like that."
    if check.state is AdoptionState.ASK_COACH:
        whom = "with your coach" if is_own else "with the member"
        return f"The solves do not settle it: {said}. Look at this case together {whom}."
    if _is_not_yet(check):
        return f"Not yet: {said}. The count has begun anew and asks more. {more}"
    if check.read:
        return f"Under way: {said}. {more}"
    return f"Not met in a solve yet. It takes at least {check.n_more} times {_like(asked)}."


def _is_not_yet(check: CaseCheck) -> bool:
    """Whether a run ended in "not yet" and nothing since speaks for the case."""
    tests = [test for test in (check.one_look, check.recognition) if test is not None]
    return any(test.n_restarts and test.evidence <= 0 for test in tests)


def _said(check: CaseCheck, asked: Asked) -> str:
    parts = []
    if check.one_look is not None:
        parts.append(f"in one look {_of(check.one_look)}")
    if check.recognition is not None and asked.recognition_ms is not None:
        within = f"seen within {average(asked.recognition_ms)} s"
        parts.append(f"{within} {_of(check.recognition)}")
    return ", ".join(parts)


def _like(asked: Asked) -> str:
    if asked.recognition_ms is None:
        return "in one look"
    return f"in one look and seen within {average(asked.recognition_ms)} s"


def _of(test: Adoption) -> str:
    return f"{test.n_hits} of {times(test.n)}"


def drill_words(check: CaseCheck) -> str:
    """What the drills say; empty without any."""
    drills = check.drills
    if not drills.n:
        return ""
    counts = f"In drills {_of(drills)} in one look."
    if check.is_ready:
        return f"{counts} Ready to be met: only solves verify it."
    return counts


def _day(at: datetime, zone: ZoneInfo) -> str:
    local = at.astimezone(zone)
    return f"{local.day} {local:%b %Y}"
