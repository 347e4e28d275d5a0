"""Charts of progress: where the time goes, recognition and execution by case."""

from collections.abc import Sequence
from typing import Any, Final, NamedTuple

from logs.charts import (
    BAND,
    CASING,
    DOT,
    HATCHED,
    INK,
    OPEN,
    POINT,
    SOLID,
    Figure,
    axis_title,
    new_figure,
    seconds,
)
from logs.progress.report.progress import (
    CaseLine,
    LooksChoice,
    PartShare,
    ProgressReport,
    SolvePart,
    TypicalTime,
)
from logs.progress.time_charts import over_time_figure
from logs.stats.grid import HOLLOW_BELOW
from logs.words import split, times

ROW_PX: Final = 26
STRIP_ROW_PX: Final = 14
"""A row of the strip of all cases: 57 of them and the axis stay below 900 px."""

MOST: Final = 10
"""So many cases are drawn large; the strip holds all of them."""


def progress_figures(report: ProgressReport, *, solves_url: str) -> dict[str, Figure | None]:
    """The charts of the Progress page, by the names that its templates have for them.

    Args:
        report: What they show.
        solves_url: Address of the member's solves, where a mark leads.
    """
    timed = [line for line in report.cases if line.n_timed]
    looks = report.choice.looks
    return {
        "shares_figure": shares_figure(report.shares),
        "cases_figure": cases_figure(timed[:MOST], looks=looks, solves_url=solves_url),
        "strip_figure": cases_figure(timed, looks=looks, solves_url=solves_url, row_px=STRIP_ROW_PX)
        if len(timed) > MOST
        else None,
        "time_figure": over_time_figure(
            report.time.periods,
            report.time.marks,
            unit=report.time.unit,
            solves_url=solves_url,
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


def cases_figure(
    lines: Sequence[CaseLine],
    *,
    looks: LooksChoice = LooksChoice.ONE,
    solves_url: str = "",
    row_px: int = ROW_PX,
) -> Figure | None:
    """Typical times with their bands: bars; rings below three times; a band alone if not known.

    Recognition runs to the left of one line, execution to the right. None without a time.

    Args:
        lines: Cases in the order they are drawn in, from the top.
        looks: Which of their times are drawn.
        solves_url: Address of the solves that a row leads to; none without.
        row_px: Height of a row, pixels.
    """
    timed = [line for line in lines if line.n_timed]
    if not timed:
        return None
    behind = [
        f"{solves_url}?kind=solve&case={line.code}&behind={looks}-look-times" for line in timed
    ]
    rows = {line.number: _row(line) for line in timed}
    traces: list[dict[str, Any]] = []
    for side in _SIDES:
        traces += _times(side, timed, rows)
        traces.append(_points(side, timed, rows))
    labels = list(rows.values())
    if solves_url:
        address = dict(zip(labels, behind, strict=True))
        traces = [{**trace, "customdata": [address[row] for row in trace["y"]]} for trace in traces]
    is_small = row_px < ROW_PX
    return new_figure(
        traces,
        height=80 + row_px * len(timed),
        x=_seconds_axis(timed),
        y={
            "categoryorder": "array",
            "categoryarray": labels,
            "autorange": False,
            "range": [len(labels) - 0.4, -0.6],
            **({"dtick": 1, "tickfont": {"size": 10}} if is_small else {}),
        },
        barmode="relative",
        bargap=0.3,
        margin={"l": 8, "r": 12, "t": 72, "b": 8},
        shapes=[_line_at(0, width=2)],
        showlegend=False,
        annotations=[_side_name(side) for side in _SIDES],
    )


def _side_name(side: _Side) -> dict[str, Any]:
    """The name of a side at its top, in the place of a legend."""
    return {
        "text": side.name,
        "x": 0,
        "xref": "x",
        "xanchor": "right" if side.sign < 0 else "left",
        "xshift": side.sign * 8,
        "y": 1,
        "yref": "paper",
        "yanchor": "bottom",
        "yshift": 44,
        "showarrow": False,
        "font": {"color": INK},
    }


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
    points = [
        (line, getattr(one, f"{side.part}_ms"), one.step_ms) for line in timed for one in line.few
    ]
    return {
        "type": "scatter",
        "name": "One sighting each",
        "showlegend": side.sign == 1 and len(points) > 0,
        "mode": "markers",
        "marker": DOT,
        "y": [rows[line.number] for line, _, _ in points],
        "x": [side.sign * _s(ms) for _, ms, _ in points],
        "text": [
            f"{line.title}: {side.part} {split(ms, step_ms)} s, one sighting"
            for line, ms, step_ms in points
        ],
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
        height=260,
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


def _s(ms: float) -> float:
    return round(float(ms) / 1000, 3)
