"""Charts of progress: where the time goes, recognition and execution by case, times over time."""

from collections.abc import Iterable, Sequence
from typing import Any, Final, NamedTuple

from logs.charts import (
    BAND,
    CASING,
    DOT,
    HATCHED,
    INK,
    OPEN,
    POINT,
    SOFT,
    SOLID,
    Figure,
    axis_title,
    new_figure,
    seconds,
)
from logs.progress.report.progress import (
    CaseLine,
    PartShare,
    ProgressReport,
    SolvePart,
    TypicalTime,
)
from logs.progress.report.time import MarkKind, PeriodTimes, TimeMarkLine
from logs.progress.words import MARKS, mark_words
from logs.stats.grid import HOLLOW_BELOW
from logs.stats.periods import FEW
from logs.words import times

ROW_PX: Final = 26


def progress_figures(report: ProgressReport) -> dict[str, Figure | None]:
    """The charts of the Progress page, by the names that its templates have for them."""
    return {
        "shares_figure": shares_figure(report.shares),
        "cases_figure": cases_figure(report.cases),
        "time_figure": over_time_figure(
            report.time.periods, report.time.marks, unit=report.time.unit
        ),
    }


HOVER: Final = "%{text}<extra></extra>"


class _Side(NamedTuple):
    name: str
    part: str
    sign: int
    marker: dict[str, Any]


_SIDES: Final = (
    _Side("Recognition", "recognition", -1, HATCHED),
    _Side("Execution", "execution", 1, SOLID),
)


def cases_figure(lines: Sequence[CaseLine]) -> Figure | None:
    """Typical times with their bands: bars; rings below three times; a band alone if not known.

    Recognition runs to the left of one line, execution to the right. None without a time.
    """
    timed = [line for line in lines if line.n_timed]
    if not timed:
        return None
    rows = {line.number: _row(line) for line in timed}
    traces: list[dict[str, Any]] = []
    for side in _SIDES:
        traces += _times(side, timed, rows)
        traces.append(_points(side, timed, rows))
    labels = list(rows.values())
    return new_figure(
        traces,
        height=120 + ROW_PX * len(timed),
        x=_seconds_axis(timed),
        y={
            "categoryorder": "array",
            "categoryarray": labels,
            "autorange": False,
            "range": [len(labels) - 0.4, -0.6],
        },
        barmode="relative",
        bargap=0.3,
        margin={"l": 8, "r": 12, "t": 88, "b": 8},
        shapes=[_line_at(0, width=2)],
    )


def _row(line: CaseLine) -> str:
    return f"{' '.join(line.title.split()[:2])} · {line.n_timed}×"  # noqa: RUF001 - as in print


def _line_at(x: float | str, **line: object) -> dict[str, Any]:
    """A line over the whole height."""
    return {
        "type": "line",
        "x0": x,
        "x1": x,
        "xref": "x",
        "yref": "y domain",
        "y0": 0,
        "y1": 1,
        "line": {"color": INK, **line},
    }


def _typical(side: _Side, line: CaseLine) -> TypicalTime:
    typical = line.recognition if side.part == "recognition" else line.execution
    assert typical is not None  # there is one for whatever was timed
    return typical


def _times(side: _Side, timed: Sequence[CaseLine], rows: dict[str, str]) -> list[dict[str, Any]]:
    """Bars and rings at the typical times that are known, bands at all."""
    known = [line for line in timed if _typical(side, line).is_known]
    bars = [line for line in known if line.n_timed >= HOLLOW_BELOW]
    rings = [line for line in known if line.n_timed < HOLLOW_BELOW]
    bar = {
        **_place(side, bars, rows),
        "type": "bar",
        "orientation": "h",
        "name": side.name,
        "marker": side.marker,
        "textposition": "none",
    }
    ring = {
        **_place(side, rings, rows),
        "type": "scatter",
        "name": f"Timed fewer than {HOLLOW_BELOW} times",
        "showlegend": side.sign == 1 and len(rings) > 0,
        "mode": "markers",
        "marker": POINT,
    }
    return [bar, *(_band(side, timed, rows, line) for line in ((CASING, 0), (BAND, 4))), ring]


def _band(
    side: _Side, timed: Sequence[CaseLine], rows: dict[str, str], line: tuple[dict[str, Any], int]
) -> dict[str, Any]:
    above = [_s(t.range_ms.high - t.centre_ms) for t in (_typical(side, one) for one in timed)]
    below = [_s(t.centre_ms - t.range_ms.low) for t in (_typical(side, one) for one in timed)]
    right, left = (above, below) if side.sign == 1 else (below, above)
    return {
        **_place(side, timed, rows),
        "type": "scatter",
        "mode": "markers",
        "marker": {"size": 1, "color": INK},
        "error_x": {**line[0], "width": line[1], "array": right, "arrayminus": left},
        "showlegend": False,
    }


def _place(side: _Side, lines: Sequence[CaseLine], rows: dict[str, str]) -> dict[str, Any]:
    return {
        "y": [rows[line.number] for line in lines],
        "x": [side.sign * _s(_typical(side, line).centre_ms) for line in lines],
        "text": [_words(side, line) for line in lines],
        "hovertemplate": HOVER,
    }


def _words(side: _Side, line: CaseLine) -> str:
    typical = _typical(side, line)
    low, high = seconds(typical.range_ms.low), seconds(typical.range_ms.high)
    time = f"{seconds(typical.centre_ms)} s" if typical.is_known else "not known yet"
    return f"{line.title}: {side.part} {time} ({low} to {high}) · {times(line.n_timed)}"


def _points(side: _Side, timed: Sequence[CaseLine], rows: dict[str, str]) -> dict[str, Any]:
    points = [(line, getattr(one, f"{side.part}_ms")) for line in timed for one in line.few]
    return {
        "type": "scatter",
        "name": "One sighting each",
        "showlegend": side.sign == 1 and len(points) > 0,
        "mode": "markers",
        "marker": DOT,
        "y": [rows[line.number] for line, _ in points],
        "x": [side.sign * _s(ms) for _, ms in points],
        "text": [f"{line.title}: {side.part} {seconds(ms)} s, one sighting" for line, ms in points],
        "hovertemplate": HOVER,
    }


def _seconds_axis(timed: Sequence[CaseLine]) -> dict[str, Any]:
    """Ticks that read as seconds on both sides of the line."""
    left, right = (
        max(
            [_typical(side, line).range_ms.high for line in timed]
            + [getattr(one, f"{side.part}_ms") for line in timed for one in line.few]
        )
        / 1000
        for side in _SIDES
    )
    step = next(s for s in (0.5, 1, 2, 5, 10, 30, 60, 300, 3600) if (left + right) / s <= 8)
    ticks = [step * k for k in range(-int(left / step) - 1, int(right / step) + 2)]
    return {
        "range": [-left * 1.08, right * 1.08],
        "tickvals": ticks,
        "ticktext": [f"{abs(tick):g}" for tick in ticks],
        "title": axis_title("seconds", standoff=8),
        "side": "top",
    }


ROWS: Final = {
    SolvePart.CROSS: "Cross",
    SolvePart.PAIRS: "Pairs",
    SolvePart.OLL_RECOGNITION: "OLL",
    SolvePart.OLL_EXECUTION: "OLL",
    SolvePart.PLL_RECOGNITION: "PLL",
    SolvePart.PLL_EXECUTION: "PLL",
    SolvePart.FINAL_AUF: "Final AUF",
}


_KINDS: Final = {
    "Looking and turning": ((SolvePart.CROSS, SolvePart.PAIRS), OPEN),
    "Recognition": ((SolvePart.OLL_RECOGNITION, SolvePart.PLL_RECOGNITION), HATCHED),
    "Execution": (
        (SolvePart.OLL_EXECUTION, SolvePart.PLL_EXECUTION, SolvePart.FINAL_AUF),
        SOLID,
    ),
}


def shares_figure(shares: Sequence[PartShare]) -> Figure | None:
    """Bars of mean seconds a solve, one row for each stage; None without shares."""
    if not shares:
        return None
    by_part = {share.part: share for share in shares}
    traces = [
        {
            "type": "bar",
            "name": name,
            "orientation": "h",
            "y": [ROWS[part] for part in parts],
            "x": [_s(by_part[part].mean_ms) for part in parts],
            "marker": marker,
            "customdata": [
                f"{seconds(by_part[part].mean_ms)} s, {by_part[part].share:.0%} of the turning time"
                for part in parts
            ],
            "hovertemplate": "%{y}: %{customdata}<extra>" + name + "</extra>",
        }
        for name, (parts, marker) in _KINDS.items()
    ]
    totals: dict[str, tuple[float, float]] = {}
    for share in shares:
        ms, part_share = totals.get(ROWS[share.part], (0.0, 0.0))
        totals[ROWS[share.part]] = ms + share.mean_ms, part_share + share.share
    return new_figure(
        traces,
        height=300,
        x={
            "title": axis_title("seconds a solve, on average"),
            "range": [0, max(ms for ms, _ in totals.values()) / 1000 * 1.75],
        },
        y={"categoryorder": "array", "categoryarray": list(totals)},
        barmode="stack",
        bargap=0.35,
        annotations=[
            {
                "x": _s(ms),
                "y": stage,
                "text": f"{seconds(ms)} s · {share:.0%}",
                "showarrow": False,
                "xanchor": "left",
                "xshift": 6,
                "font": {"color": INK},
            }
            for stage, (ms, share) in totals.items()
        ],
    )


_SYMBOLS: Final = {
    MarkKind.HOMEWORK: "triangle-up",
    MarkKind.NEW_CASE: "diamond-open",
    MarkKind.NEW_ALGORITHM: "cross-thin",
    MarkKind.OWN: "square-open",
}


def over_time_figure(
    periods: Iterable[PeriodTimes],
    marks: Iterable[TimeMarkLine] = (),
    *,
    unit: str,
    title: str = "seconds a solve",
) -> Figure | None:
    """A dot for each day or week at its median, with the middle eight tenths of its solves.

    Args:
        periods: Any order; of none there is no figure.
        marks: Drawn along the foot and as a dotted line upwards, one symbol for each kind; those
            before the first period are left out.
        unit: ``day`` or ``week``.
        title: What the times are.
    """
    drawn = sorted(periods, key=lambda period: period.start)
    if not drawn:
        return None
    marked = [mark for mark in marks if mark.day >= drawn[0].start]
    top = max(period.range_ms.high if period.range_ms else period.median_ms for period in drawn)
    dotted = {"type": "line", "yref": "paper", "y0": 0, "y1": 1, "layer": "below"}
    dotted |= {"line": {"color": SOFT, "width": 1, "dash": "dot"}}
    days = sorted({mark.day.isoformat() for mark in marked})
    return new_figure(
        [
            _ranged([period for period in drawn if period.range_ms], unit),
            _single([period for period in drawn if not period.range_ms], unit),
            *(
                _marks(kind, [mark for mark in marked if mark.kind is kind], -0.05 * top / 1000)
                for kind in MarkKind
                if any(mark.kind is kind for mark in marked)
            ),
        ],
        height=360,
        x={"showgrid": False, "type": "date"},
        y={
            "autorange": False,
            "range": [-0.1 * top / 1000, 1.08 * top / 1000],
            "showgrid": True,
            "title": axis_title(title),
        },
        margin={"l": 8, "r": 12, "t": 72, "b": 44},
        showlegend=True,
        shapes=[{**dotted, "x0": day, "x1": day} for day in days],
    )


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
