"""One solve on a line of time, as SVG text: stages, looks, pauses.

Places along the line are percentages, so that the strip is as wide as its page and its words keep
their size. Hatched is recognition, solid execution, open what is not split.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from cubecore.cases import Stage
from cubecore.outcomes import Outcome
from logs.solves.report.solve import LookLine, SolveReport, StageLine
from logs.solves.words import part_name
from logs.words import split, whole_ms

HEIGHT: Final = 118


_STAGES_Y: Final = 20


_LOOKS_Y: Final = 52


_TURNS_Y: Final = 82


_BAR: Final = 24


_NARROW_PX: Final = 288


_WIDE_PX: Final = 840
"""Widths the strip has at least: on any page, and on one of 60 rem (class ``on-wide``)."""


_LETTER_PX: Final = 7


class Fill(StrEnum):
    """What a stretch of time was."""

    OPEN = "open"
    HATCHED = "hatched"
    SOLID = "solid"


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of the solve; times are ms from the start.

    Attributes:
        start_ms: Where it begins.
        end_ms: Where it ends, not before ``start_ms``.
        fill: How it is drawn.
        label: A word for it, shown where there is room.
        title: What it is, in words.
    """

    start_ms: int
    end_ms: int
    fill: Fill
    label: str
    title: str


def time_strip(
    *,
    stages: Sequence[Stretch],
    looks: Sequence[Stretch],
    turn_ms: Sequence[int],
    hesitations: Sequence[tuple[int, int]],
    text: str,
    step_ms: int | None = None,
) -> str:
    """The strip of a solve.

    Args:
        stages: Its stages, in order.
        looks: Its looks, recognition and execution apart, in order.
        turn_ms: The end of each turn, ms, at least one above 0.
        hesitations: The pauses that count as hesitations, from and to.
        text: Read out in the strip's place.
        step_ms: How fine the times are, ms; None where the log does not say.
    """
    end_ms = max(turn_ms)
    shapes = [_scale(end_ms), *(_stretch(stage, _STAGES_Y, end_ms) for stage in stages)]
    shapes += [_stretch(look, _LOOKS_Y, end_ms) for look in looks]
    shapes += [_tick(at, end_ms) for at in turn_ms]
    shapes += [_pause(start, end, end_ms, step_ms) for start, end in hesitations]
    shapes.append(
        f'<line class="strip-head" x1="0" x2="0" y1="16" y2="{HEIGHT}" stroke-width="2" '
        f'data-end-ms="{end_ms}"/>'
    )
    return (
        f'<svg class="time-strip" xmlns="http://www.w3.org/2000/svg" role="img" width="100%" '
        f'height="{HEIGHT}" aria-label={quoteattr(text)}>{_HATCH}{"".join(shapes)}</svg>'
    )


_HATCH: Final = (
    '<defs><pattern id="strip-hatch" width="6" height="6" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><line x1="1" x2="1" y1="0" y2="6" stroke="currentColor" '
    'stroke-width="1.6"/></pattern></defs>'
)


_PAINT: Final = {
    Fill.OPEN: 'fill="none"',
    Fill.HATCHED: 'fill="url(#strip-hatch)"',
    Fill.SOLID: 'fill="currentColor"',
}


def _percent(at_ms: int, end_ms: int) -> str:
    return f"{100 * at_ms / end_ms:.2f}%"


def _scale(end_ms: int) -> str:
    step = next(s for s in (1, 2, 5, 10, 30, 60, 300, 1200) if end_ms / s <= 8000)
    marks = []
    for second in range(0, end_ms // 1000 + 1, step):
        at = _percent(second * 1000, end_ms)
        anchor = "start" if second == 0 else "middle"
        if second * 1000 <= 0.97 * end_ms:
            marks.append(
                f'<text class="strip-scale" x="{at}" y="12" text-anchor="{anchor}">{second} s</text>'
            )
    return "".join(marks)


def _stretch(stretch: Stretch, y: int, end_ms: int) -> str:
    share = (stretch.end_ms - stretch.start_ms) / end_ms
    box = (
        f'<rect x="0" y="0" width="100%" height="{_BAR}" {_PAINT[stretch.fill]} '
        f'stroke="currentColor" stroke-width="1.5"/>'
    )
    word = ""
    if stretch.label:
        fits = _fits(stretch.label, share)
        word = (
            f'<text class="strip-word is-{stretch.fill}{fits}" x="5" y="16">'
            f"{escape(stretch.label)}</text>"
        )
    return (
        f'<svg x="{_percent(stretch.start_ms, end_ms)}" y="{y}" width="{100 * share:.2f}%" '
        f'height="{_BAR}"><title>{escape(stretch.title)}</title>{box}{word}</svg>'
    )


def _fits(label: str, share: float) -> str:
    """The class that hides a word where its stretch is too short for it."""
    needed_px = _LETTER_PX * len(label) + 6
    if share * _NARROW_PX >= needed_px:
        return ""
    return " on-wide" if share * _WIDE_PX >= needed_px else " on-none"


def _tick(at_ms: int, end_ms: int) -> str:
    at = _percent(at_ms, end_ms)
    return (
        f'<line x1="{at}" x2="{at}" y1="{_TURNS_Y}" y2="{_TURNS_Y + 14}" stroke="currentColor" '
        'stroke-width="1"/>'
    )


def _pause(from_ms: int, to_ms: int, end_ms: int, step_ms: int | None) -> str:
    """A bracket under the turns, from the one before the hesitation to the one after."""
    start, stop = _percent(from_ms, end_ms), _percent(to_ms, end_ms)
    y = _TURNS_Y + 22
    title = f"Hesitation of {whole_ms(to_ms - from_ms, step_ms)}"
    return (
        f'<g class="strip-pause"><title>{title}</title><line x1="{start}" x2="{stop}" y1="{y}" '
        f'y2="{y}" stroke="currentColor" stroke-width="5"/></g>'
    )


def solve_strip(report: SolveReport) -> str:
    """The strip of a solve; empty without times."""
    turn_ms = [
        step.at_ms
        for before, step in pairwise(report.steps)
        if step.at_ms is not None and step.n_turns > before.n_turns
    ]
    if not turn_ms or not turn_ms[-1]:
        return ""
    return time_strip(
        stages=[
            stretch for stage in report.stages if (stretch := stage_stretch(stage)) is not None
        ],
        looks=list(look_stretches(report.looks, report.step_ms)),
        turn_ms=turn_ms,
        hesitations=[
            (step.at_ms - step.pause_ms, step.at_ms)
            for step in report.steps
            if step.pause_ms is not None and step.at_ms is not None
        ],
        text="The solve on a line of time; the tables below hold its figures",
        step_ms=report.step_ms,
    )


def stage_stretch(stage: StageLine) -> Stretch | None:
    """A part with some time of its own, OLL and PLL with their cases."""
    if not stage.took_ms or stage.start_ms is None or stage.end_ms is None:
        return None
    name = stage.case.title if stage.case else part_name(stage.part)
    label = " ".join(name.split()[:2]) if stage.case else name
    title = f"{name}: {split(stage.took_ms, stage.step_ms)} s"
    return Stretch(stage.start_ms, stage.end_ms, Fill.OPEN, label, title)


def look_stretches(looks: Iterable[LookLine], step_ms: int | None = None) -> Iterator[Stretch]:
    """Recognition and execution of each look that has times, named as fine as ``step_ms``."""
    numbers = Counter[Stage]()
    for look in looks:
        numbers[look.case.stage] += 1
        if look.start_ms is None or look.recognition_ms is None or look.execution_ms is None:
            continue
        name = f"{look.case.stage.upper()} look {numbers[look.case.stage]}"
        moved_ms = look.start_ms + look.recognition_ms
        recognition = f"{name}: recognition {split(look.recognition_ms, step_ms)} s"
        yield Stretch(look.start_ms, moved_ms, Fill.HATCHED, "", recognition)
        mark = "misfire" if look.outcome is Outcome.MISFIRE else ""
        execution = f"execution {split(look.execution_ms, step_ms)} s"
        title = f"{name}: {mark}, {execution}" if mark else f"{name}: {execution}"
        yield Stretch(moved_ms, moved_ms + look.execution_ms, Fill.SOLID, mark, title)
