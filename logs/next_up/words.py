"""Next up in words."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.template import Library

from logs.next_up.order import BAND as LEVEL
from logs.next_up.order import OverrideKind, Rule
from logs.next_up.report import CoachWord, NextLine, Reason, Saving
from logs.stats import Range
from logs.stats.grid import decimals_shown

register = Library()


NO_BREAK = "\u00a0"


KINDS = {
    OverrideKind.PIN: "Put it first",
    OverrideKind.SKIP: "Leave it out",
    OverrideKind.MOVE: "Move it to a place",
}


@register.filter
def next_answer(line: NextLine) -> str:
    """What to learn next, and what it is worth or how often it comes up."""
    saving = line.saving
    if saving is None or saving.per_solve_ms <= 0:
        return f"Next: {line.taught.title}. It comes up once in {line.taught.once_in} solves."
    seconds = _seconds(100 * saving.per_solve_ms)
    return f"Next: {line.taught.title}. In one look it saves about {seconds} in 100 solves."


@register.filter
def line_figures(line: NextLine) -> tuple[str, ...]:
    """The figures that put a case where it is, each a few words."""
    parts = [f"1 in {line.taught.once_in} solves"]
    parts.append(f"{line.n_one_look} of {line.n} in one look" if line.n else "not met yet")
    if line.now_ms is not None and line.then_ms is not None:
        parts.append(f"{_seconds(line.now_ms)} now, {_seconds(line.then_ms)} in one look")
    if line.effort_h is not None:
        parts.append(f"{line.effort_h:.1f}{NO_BREAK}h to learn")
    if line.saving is not None and line.saving.per_solve_ms > 0:
        parts.append(per_hour_words(line.saving))
    return tuple(parts)


def _seconds(ms: float) -> str:
    return f"{ms / 1000:.1f}{NO_BREAK}s"


@register.filter
def saving_words(saving: Saving) -> str:
    """What one look saves in 100 solves, with its range, or how likely it is to save at all."""
    if saving.per_solve_ms <= 0:
        return f"no gain expected, {100 * saving.gain_chance:.0f} chances in 100 of one"
    low, middle, high = (
        100 * ms / 1000 for ms in (saving.range_ms.low, saving.per_solve_ms, saving.range_ms.high)
    )
    digits = decimals_shown((high - low) / 2, most=1)
    return f"{middle:.{digits}f}{NO_BREAK}s ({low:.{digits}f} to {high:.{digits}f})"


def per_hour_words(saving: Saving) -> str:
    """What the list goes by: seconds saved in 100 solves for each hour of learning."""
    return f"{saving.per_hour_ms / 10:.1f}{NO_BREAK}s for each hour"


BAR_WIDTH = 200.0


@dataclass(frozen=True, slots=True)
class SavingBar:
    """A saving drawn on the scale of its list; each place 0..200 from the left.

    Attributes:
        zero: Where nothing is saved.
        width: Of the bar, which starts there.
        low: Where the range begins.
        high: Where it ends.
    """

    zero: float
    width: float
    low: float
    high: float


def savings_scale(lines: Iterable[NextLine]) -> Range:
    """What the bars of a list span, ms: nothing saved, and the ends of all ranges."""
    ranges = [line.saving.range_ms for line in lines if line.saving is not None]
    return Range(
        low=min([0.0, *(span.low for span in ranges)]),
        high=max([0.0, *(span.high for span in ranges)]) or 1.0,
        level=LEVEL,
    )


@register.simple_tag
def saving_bar(saving: Saving, scale: Range) -> SavingBar:
    """The bar of a saving."""

    def place(ms: float) -> float:
        return round(BAR_WIDTH * (ms - scale.low) / (scale.high - scale.low), 1)

    return SavingBar(
        zero=place(0.0),
        width=round(max(place(saving.per_solve_ms) - place(0.0), 0.0), 1),
        low=place(saving.range_ms.low),
        high=place(saving.range_ms.high),
    )


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
