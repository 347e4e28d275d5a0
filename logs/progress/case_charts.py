"""The sightings of one case in their order: recognition below, execution upon it, marks between."""

from collections.abc import Sequence
from typing import Any, Final
from zoneinfo import ZoneInfo

from logs.charts import (
    BAND,
    CASING,
    CLEAR,
    HATCHED,
    INK,
    RULE,
    SOFT,
    SOLID,
    Figure,
    axis_title,
    new_figure,
    seconds,
)
from logs.progress.report.case_times import CaseMark, CaseTime, CaseTimes, CurvePoint
from logs.progress.report.progress import TypicalTime
from logs.progress.words import day_of, mark_on_axis
from logs.words import split, times

HEIGHT: Final = 340


HOVER: Final = "%{text}<extra></extra>"


LETTERS: Final = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def lettered_marks(marks: Sequence[CaseMark]) -> tuple[tuple[str, CaseMark], ...]:
    """Each mark with the letter that it has on the axis."""
    return tuple((LETTERS[place % len(LETTERS)], mark) for place, mark in enumerate(marks))


def sightings_figure(report: CaseTimes, zone: ZoneInfo) -> Figure | None:
    """A bar for every sighting, so that a small sample is all its points; None without one.

    Args:
        report: What the times say.
        zone: For dates.
    """
    if not report.times or report.stage is None:
        return None
    x = [time.number for time in report.times]
    words = [
        f"{day_of(time.done_at, zone)}: recognition {split(time.recognition_ms, time.step_ms)} s,"
        f" execution {split(time.execution_ms, time.step_ms)} s"
        for time in report.times
    ]
    beyond = x[-1] + 2
    marks = [(letter, at) for letter, at in lettered_marks(report.marks) if at.before >= x[0]]
    longest = max(time.recognition_ms + time.execution_ms for time in report.times)
    top = max(longest, report.stage.range_ms.high) / 1000
    ticks = _ticks(x)
    return new_figure(
        [
            _bars("Recognition", x, [time.recognition_ms for time in report.times], words, HATCHED),
            _bars("Execution", x, [time.execution_ms for time in report.times], words, SOLID),
            *_curve(report.curve),
            _odd([time for time in report.times if time.is_odd]),
            _typical(beyond, report.stage, report.n),
        ],
        height=HEIGHT,
        x={
            "title": axis_title("sightings in solves, oldest first"),
            "range": [x[0] - 1, beyond + 1],
            "showgrid": False,
            "tickvals": [*ticks, beyond],
            "ticktext": [*map(str, ticks), "typical"],
        },
        y={
            "title": axis_title("seconds"),
            "autorange": False,
            "range": [0, top * 1.08],
            "showgrid": True,
            "gridcolor": RULE,
        },
        barmode="stack",
        bargap=0.25,
        margin={"l": 8, "r": 12, "t": 84, "b": 44},
        shapes=[_mark_line(at) for _, at in marks],
        annotations=[_mark_letter(letter, at) for letter, at in marks],
    )


def _bars(
    name: str, x: list[int], times_ms: list[float], words: list[str], marker: dict[str, Any]
) -> dict[str, Any]:
    return {
        "type": "bar",
        "name": name,
        "x": x,
        "y": [_s(ms) for ms in times_ms],
        "marker": marker,
        "text": words,
        "textposition": "none",
        "hovertemplate": HOVER,
    }


def _mark_line(at: CaseMark) -> dict[str, Any]:
    x = at.before - 0.5
    line = {"color": INK, "width": 1, "dash": "dash"}
    return {"type": "line", "x0": x, "x1": x, "yref": "y domain", "y0": 0, "y1": 1, "line": line}


def _mark_letter(letter: str, at: CaseMark) -> dict[str, Any]:
    return {
        "x": at.before - 0.5,
        "y": 1,
        "yref": "paper",
        "yanchor": "bottom",
        "text": letter,
        "hovertext": mark_on_axis(at.mark),
        "showarrow": False,
        "font": {"color": INK},
    }


def _s(ms: float) -> float:
    return round(float(ms) / 1000, 3)


def _ticks(x: list[int]) -> list[int]:
    step = next(step for step in (1, 2, 5, 10, 20, 50) if len(x) / step <= 8 or step == 50)
    return [number for number in x if number % step == 0 or number == x[0]]


def _curve(curve: Sequence[CurvePoint]) -> list[dict[str, Any]]:
    """The curve with its range, each line upon a wider one of paper."""
    if not curve:
        return []
    ends = {
        "low": [point.range_ms.low for point in curve],
        "centre": [point.centre_ms for point in curve],
        "high": [point.range_ms.high for point in curve],
    }
    casing = {"color": CASING["color"], "width": 5}
    ink = {"color": INK, "width": 2}
    return [
        {
            "type": "scatter",
            "x": [point.number for point in curve],
            "y": [_s(ms) for ms in ends[end]],
            "mode": "lines",
            "line": line if line is casing else {**line, "dash": dash},
            "name": "Curve, with its range dotted",
            "showlegend": end == "centre" and line is ink,
            "hoverinfo": "skip",
        }
        for end, dash in (("low", "dot"), ("centre", "solid"), ("high", "dot"))
        for line in (casing, ink)
    ]


def _odd(odd: Sequence[CaseTime]) -> dict[str, Any]:
    return {
        "type": "scatter",
        "x": [time.number for time in odd],
        "y": [_s(time.recognition_ms + time.execution_ms) for time in odd],
        "mode": "markers",
        "marker": {
            "symbol": "diamond",
            "size": 10,
            "color": SOFT,
            "line": {"color": INK, "width": 1},
        },
        "name": "Far from the others",
        "showlegend": len(odd) > 0,
        "hoverinfo": "skip",
    }


def _typical(x: int, typical: TypicalTime, n: int) -> dict[str, Any]:
    low, high = typical.range_ms.low, typical.range_ms.high
    words = (
        f"Typical: {seconds(typical.centre_ms)} s ({seconds(low)} to {seconds(high)}) · {times(n)}"
    )
    return {
        "type": "scatter",
        "x": [x],
        "y": [_s(typical.centre_ms)],
        "mode": "markers",
        "marker": {"size": 11, "color": CLEAR, "line": {"color": INK, "width": 2}},
        "error_y": {
            **BAND,
            "width": 6,
            "array": [_s(high - typical.centre_ms)],
            "arrayminus": [_s(typical.centre_ms - low)],
        },
        "name": "Typical time with its range",
        "text": [words],
        "hovertemplate": HOVER,
    }
