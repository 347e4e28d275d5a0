"""The chart of times over time, with marks along its foot."""

from collections.abc import Iterable, Sequence
from typing import Any, Final

from logs.charts import BAND, INK, POINT, SOFT, SOLID, Figure, axis_title, new_figure, seconds
from logs.progress.report.time import MarkKind, PeriodTimes, TimeMarkLine
from logs.progress.words import MARKS, mark_words
from logs.stats.periods import FEW

HOVER: Final = "%{text}<extra></extra>"

_SYMBOLS: Final = {
    MarkKind.HOMEWORK: "triangle-up",
    MarkKind.NEW_CASE: "diamond-open",
    MarkKind.NEW_ALGORITHM: "cross-thin",
    MarkKind.INSTRUMENT: "circle-open",
    MarkKind.OWN: "square-open",
}


def over_time_figure(
    periods: Iterable[PeriodTimes],
    marks: Iterable[TimeMarkLine] = (),
    *,
    unit: str,
    title: str = "seconds a solve",
    solves_url: str = "",
) -> Figure | None:
    """A dot for each day or week at its median, with the middle eight tenths of its solves.

    Args:
        periods: Any order; of none there is no figure.
        marks: Drawn along the foot and as a dotted line upwards, one symbol for each kind; those
            before the first period are left out.
        unit: ``day`` or ``week``.
        title: What the times are.
        solves_url: Address of the solves that a dot leads to; none without.
    """
    drawn = sorted(periods, key=lambda period: period.start)
    if not drawn:
        return None
    marked = [mark for mark in marks if mark.day >= drawn[0].start]
    top = max(period.range_ms.high if period.range_ms else period.median_ms for period in drawn)
    low = min(period.range_ms.low if period.range_ms else period.median_ms for period in drawn)
    height = max(top - low, 0.1 * top)
    floor = max(low - 0.3 * height, -0.1 * top)
    dotted = {"type": "line", "yref": "paper", "y0": 0, "y1": 1, "layer": "below"}
    dotted |= {"line": {"color": SOFT, "width": 1, "dash": "dot"}}
    days = sorted({mark.day.isoformat() for mark in marked})
    return new_figure(
        [
            _leading(
                _ranged([period for period in drawn if period.range_ms], unit), unit, solves_url
            ),
            _leading(
                _single([period for period in drawn if not period.range_ms], unit), unit, solves_url
            ),
            *(
                _marks(
                    kind, [mark for mark in marked if mark.kind is kind], _s(floor + 0.06 * height)
                )
                for kind in MarkKind
                if any(mark.kind is kind for mark in marked)
            ),
        ],
        height=320,
        x={"showgrid": False, "type": "date"},
        y={
            "autorange": False,
            "range": [_s(floor), _s(top + 0.08 * height)],
            "showgrid": True,
            "title": axis_title(title),
        },
        margin={"l": 8, "r": 12, "t": 72, "b": 44},
        showlegend=True,
        shapes=[{**dotted, "x0": day, "x1": day} for day in days],
    )


def _leading(trace: dict[str, Any], unit: str, solves_url: str) -> dict[str, Any]:
    """The trace whose dots lead to the solves of their day or week."""
    days = "&days=7" if unit == "week" else ""
    address = [f"{solves_url}?since={day}{days}" for day in trace["x"]]
    return {**trace, "customdata": address} if solves_url else trace


def _ranged(periods: Sequence[PeriodTimes], unit: str) -> dict[str, Any]:
    spans = [(period, period.range_ms) for period in periods if period.range_ms is not None]
    return {
        "type": "scatter",
        "name": "Median, and where eight in ten lie",
        "mode": "markers",
        "x": [period.start.isoformat() for period, _ in spans],
        "y": [_s(period.median_ms) for period, _ in spans],
        "marker": {"size": 8, **SOLID},
        "error_y": {
            **BAND,
            "thickness": 1,
            "width": 0,
            "array": [_s(span.high - period.median_ms) for period, span in spans],
            "arrayminus": [_s(period.median_ms - span.low) for period, span in spans],
        },
        "text": [
            f"{unit} of {period.start}: {seconds(period.median_ms)} s"
            f" ({seconds(span.low)} to {seconds(span.high)}) · {period.n} solves"
            for period, span in spans
        ],
        "hovertemplate": HOVER,
    }


def _single(periods: Sequence[PeriodTimes], unit: str) -> dict[str, Any]:
    return {
        "type": "scatter",
        "name": f"Median of fewer than {FEW}",
        "showlegend": len(periods) > 0,
        "mode": "markers",
        "x": [period.start.isoformat() for period in periods],
        "y": [_s(period.median_ms) for period in periods],
        "marker": POINT,
        "text": [
            f"{unit} of {period.start}: {seconds(period.median_ms)} s · {period.n} solves"
            for period in periods
        ],
        "hovertemplate": HOVER,
    }


def _marks(kind: MarkKind, marks: Sequence[TimeMarkLine], foot: float) -> dict[str, Any]:
    line = {"color": INK, "width": 2}
    return {
        "type": "scatter",
        "name": MARKS[kind],
        "mode": "markers",
        "x": [mark.day.isoformat() for mark in marks],
        "y": [foot] * len(marks),
        "marker": {"symbol": _SYMBOLS[kind], "size": 10, "color": INK, "line": line},
        "text": [mark_words(mark) for mark in marks],
        "hovertemplate": "%{x}: %{text}<extra></extra>",
    }


def _s(ms: float) -> float:
    return round(float(ms) / 1000, 3)
