"""Next up in words."""

from django.template import Library

from logs.next_up.order import OverrideKind, Rule
from logs.next_up.report import CoachWord, NextLine, Reason, Saving
from logs.stats.grid import decimals_shown

register = Library()


NO_BREAK = "\u00a0"


KINDS = {
    OverrideKind.PIN: "Put it first",
    OverrideKind.SKIP: "Leave it out",
    OverrideKind.MOVE: "Move it to a place",
}


@register.filter
def factor_words(line: NextLine) -> str:
    """The sentence of the figures that put a case where it is."""
    parts = [f"comes up once in {line.taught.once_in} solves"]
    parts.append(f"in one look {line.n_one_look} of {line.n} times" if line.n else "not met yet")
    if line.now_ms is not None and line.then_ms is not None:
        parts.append(f"now about {_seconds(line.now_ms)}")
        parts.append(f"in one look about {_seconds(line.then_ms)}")
    return "; ".join(parts)


def _seconds(ms: float) -> str:
    return f"{ms / 1000:.1f}{NO_BREAK}s"


@register.filter
def saving_words(saving: Saving) -> str:
    """What one look saves in 100 solves, with its range, or how likely it is to save at all.

    Goes on from "One look".
    """
    if saving.per_solve_ms <= 0:
        return f"no gain expected, {100 * saving.gain_chance:.0f} chances in 100 of one"
    low, middle, high = (
        100 * ms / 1000 for ms in (saving.range_ms.low, saving.per_solve_ms, saving.range_ms.high)
    )
    digits = decimals_shown((high - low) / 2, most=1)
    span = f"{low:.{digits}f} to {high:.{digits}f}"
    return f"saves {middle:.{digits}f}{NO_BREAK}s in 100 solves ({span})"


@register.filter
def per_hour_words(saving: Saving) -> str:
    """What the list goes by: ``3.4 s in 100 solves for each hour``; empty without a gain."""
    if saving.per_solve_ms <= 0:
        return ""
    return f": {saving.per_hour_ms / 10:.1f}{NO_BREAK}s in 100 solves for each hour"


@register.filter
def effort_words(hours: float) -> str:
    """``about 0.8 hours to learn``."""
    return f"about {hours:.1f}{NO_BREAK}hours to learn"


@register.filter
def reason_words(reason: Reason) -> str:
    """Why a case stands where it does, or waits."""
    if reason.other is not None:
        return f"it looks like {reason.other.title}, which comes first"
    return {
        Rule.COMPLETE_FAMILY: "it is the last of its family",
        Rule.FREQUENT_FIRST: "it comes up more often than others worth as much",
        Rule.FEW_OPEN: "enough cases are open; it waits until one is verified",
        Rule.LOOK_ALIKES_APART: "it looks like one that comes first",
    }[reason.rule]


@register.filter
def coach_words(word: CoachWord) -> str:
    """What a coach decided: ``moved to place 3``."""
    return {
        OverrideKind.PIN: "put first",
        OverrideKind.SKIP: "left out",
        OverrideKind.MOVE: f"moved to place {word.place}",
    }[word.kind]
