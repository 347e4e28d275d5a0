"""Recognition and execution by case: recognition to the left of one line, execution to the right."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Final, NamedTuple

import pandas as pd
import plotly.graph_objects as go

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
    new_figure,
    seconds,
)
from logs.stats.grid import HOLLOW_BELOW

ROW_PX: Final = 26


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
    table: pd.DataFrame, points: pd.DataFrame, *, names: Mapping[str, str]
) -> go.Figure:
    """Typical times with their bands: bars; rings below three times; a band alone if not known.

    Args:
        table: `logs.progress.figures.cases.case_table`; rows without a time are left out.
        points: `logs.progress.figures.cases.few_points` of the same sightings.
        names: How each case is written, such as ``OLL 27 Sune``.
    """
    shown = table[table["n_timed"] > 0]
    figure = new_figure(height=120 + ROW_PX * len(shown))
    labels = {
        row["case"]: f"{' '.join(names[row['case']].split()[:2])} · {row['n_timed']}×"  # noqa: RUF001 - as in print
        for _, row in shown.iterrows()
    }
    for side in _SIDES:
        _add_times(figure, side, shown, labels, names)
        _add_points(figure, side, points, labels, names)
    figure.update_layout(barmode="relative", bargap=0.3, margin={"t": 88, "b": 8})
    figure.update_xaxes(**_axis(shown, points))
    rows = list(labels.values())
    figure.update_yaxes(
        categoryorder="array",
        categoryarray=rows,
        autorange=False,
        range=[len(rows) - 0.4, -0.6],
    )
    figure.add_vline(x=0, line={"color": INK, "width": 2})
    return figure


def _add_times(
    figure: go.Figure,
    side: _Side,
    shown: pd.DataFrame,
    labels: Mapping[str, str],
    names: Mapping[str, str],
) -> None:
    """Bars and rings at the typical times that are known, bands at all."""
    is_known = shown[f"is_{side.part}_known"]
    bars, rings = shown[is_known & ~shown["is_hollow"]], shown[is_known & shown["is_hollow"]]
    figure.add_bar(
        **_place(side, bars, labels),
        orientation="h",
        name=side.name,
        marker=side.marker,
        text=_words(side, bars, names),
        textposition="none",
        hovertemplate="%{text}<extra></extra>",
    )
    for line, cap in ((CASING, 0), (BAND, 4)):
        middle, low, high = (
            shown[f"{side.part}{end}"] / 1000 for end in ("_ms", "_low_ms", "_high_ms")
        )
        ends = (high - middle).round(3).tolist(), (middle - low).round(3).tolist()
        right, left = ends if side.sign == 1 else ends[::-1]
        figure.add_scatter(
            **_place(side, shown, labels),
            mode="markers",
            marker={"size": 1, "color": INK},
            error_x={**line, "width": cap, "array": right, "arrayminus": left},
            showlegend=False,
            text=_words(side, shown, names),
            hovertemplate="%{text}<extra></extra>",
        )
    figure.add_scatter(
        **_place(side, rings, labels),
        name=f"Timed fewer than {HOLLOW_BELOW} times",
        showlegend=side.sign == 1 and len(rings) > 0,
        mode="markers",
        marker=POINT,
        text=_words(side, rings, names),
        hovertemplate="%{text}<extra></extra>",
    )


def _place(side: _Side, rows: pd.DataFrame, labels: Mapping[str, str]) -> dict[str, list[Any]]:
    return {
        "y": [labels[case] for case in rows["case"]],
        "x": (side.sign * rows[f"{side.part}_ms"] / 1000).round(3).tolist(),
    }


def _words(side: _Side, rows: pd.DataFrame, names: Mapping[str, str]) -> list[str]:
    words = []
    for _, row in rows.iterrows():
        low, high = (seconds(row[f"{side.part}{end}"]) for end in ("_low_ms", "_high_ms"))
        is_known = row[f"is_{side.part}_known"]
        time = f"{seconds(row[f'{side.part}_ms'])} s" if is_known else "not known yet"
        times = "1 time" if row["n_timed"] == 1 else f"{row['n_timed']} times"
        words.append(f"{names[row['case']]}: {side.part} {time} ({low} to {high}) · {times}")
    return words


def _add_points(
    figure: go.Figure,
    side: _Side,
    points: pd.DataFrame,
    labels: Mapping[str, str],
    names: Mapping[str, str],
) -> None:
    times_ms = points[f"{side.part}_ms"]
    figure.add_scatter(
        name="One sighting each",
        showlegend=side.sign == 1 and len(points) > 0,
        mode="markers",
        marker=DOT,
        y=[labels[case] for case in points["case"]],
        x=[side.sign * round(ms / 1000, 3) for ms in times_ms],
        text=[
            f"{names[case]}: {side.part} {seconds(ms)} s, one sighting"
            for case, ms in zip(points["case"], times_ms, strict=True)
        ],
        hovertemplate="%{text}<extra></extra>",
    )


def _axis(shown: pd.DataFrame, points: pd.DataFrame) -> dict[str, Any]:
    """Ticks that read as seconds on both sides of the line."""
    ends = {}
    for part in ("recognition", "execution"):
        highs = [*shown[f"{part}_high_ms"], *points[f"{part}_ms"]]
        ends[part] = max(highs, default=1000.0) / 1000
    step = next(s for s in (0.5, 1, 2, 5, 10, 30, 60, 300, 3600) if sum(ends.values()) / s <= 8)
    left, right = int(ends["recognition"] / step) + 1, int(ends["execution"] / step) + 1
    ticks = [step * k for k in range(-left, right + 1)]
    return {
        "range": [-ends["recognition"] * 1.08, ends["execution"] * 1.08],
        "tickvals": ticks,
        "ticktext": [f"{abs(tick):g}" for tick in ticks],
        "title": {
            "text": "seconds",
            "standoff": 8,
        },
        "side": "top",
    }


ROWS: Final = {
    "cross": "Cross",
    "pairs": "Pairs",
    "oll_recognition": "OLL",
    "oll_execution": "OLL",
    "pll_recognition": "PLL",
    "pll_execution": "PLL",
    "final_auf": "Final AUF",
}


_KINDS: Final = {
    "Looking and turning": (("cross", "pairs"), OPEN),
    "Recognition": (("oll_recognition", "pll_recognition"), HATCHED),
    "Execution": (("oll_execution", "pll_execution", "final_auf"), SOLID),
}


def shares_figure(shares: pd.DataFrame) -> go.Figure:
    """Bars of mean seconds a solve, one row for each stage.

    Args:
        shares: `logs.solves.figures.frames.stage_shares`, with rows.
    """
    figure = new_figure(height=300)
    by_part = shares.set_index("part")
    for name, (parts, marker) in _KINDS.items():
        rows = by_part.loc[list(parts)]
        figure.add_bar(
            name=name,
            orientation="h",
            y=[ROWS[part] for part in parts],
            x=[round(ms / 1000, 3) for ms in rows["mean_ms"]],
            marker=marker,
            customdata=[
                f"{seconds(row['mean_ms'])} s, {row['share']:.0%} of the turning time"
                for _, row in rows.iterrows()
            ],
            hovertemplate="%{y}: %{customdata}<extra>" + name + "</extra>",
        )
    totals = shares.groupby(shares["part"].map(ROWS), sort=False)[["mean_ms", "share"]].sum()
    for stage, row in totals.iterrows():
        figure.add_annotation(
            x=round(row["mean_ms"] / 1000, 3),
            y=stage,
            text=f"{seconds(row['mean_ms'])} s · {row['share']:.0%}",
            showarrow=False,
            xanchor="left",
            xshift=6,
            font={"color": INK},
        )
    longest = float(totals["mean_ms"].max()) / 1000
    figure.update_layout(barmode="stack", bargap=0.35)
    figure.update_xaxes(title="seconds a solve, on average", range=[0, longest * 1.75])
    figure.update_yaxes(categoryorder="array", categoryarray=list(totals.index))
    return figure


class AxisMark(NamedTuple):
    """A day marked on the axis: a word on its kind, and what happened."""

    day: date
    kind: str
    words: str


_SYMBOLS = ("triangle-up", "diamond-open", "cross-thin", "square-open")


def over_time_figure(
    periods: pd.DataFrame,
    marks: Sequence[AxisMark],
    *,
    unit: str,
    kinds: Sequence[str],
    title: str = "seconds a solve",
) -> go.Figure:
    """A dot for each day or week at its median, with the middle eight tenths of its solves.

    Args:
        periods: `logs.stats.periods.times_by_period`, with rows; ``start`` as ISO text.
        marks: Drawn along the foot and as a dotted line upwards, one symbol for each kind.
        unit: ``day`` or ``week``.
        kinds: Kinds of marks in the order of the legend, at most four.
        title: What the times are.
    """
    figure = new_figure(height=360)
    few, enough = periods[periods["low_ms"].isna()], periods[periods["low_ms"].notna()]
    middle = enough["median_ms"] / 1000
    figure.add_scatter(
        name="Median, and where eight in ten lie",
        mode="markers",
        x=enough["start"].tolist(),
        y=middle.round(3).tolist(),
        marker={"size": 8, **SOLID},
        error_y={
            **BAND,
            "thickness": 1,
            "width": 0,
            "array": (enough["high_ms"] / 1000 - middle).round(3).tolist(),
            "arrayminus": (middle - enough["low_ms"] / 1000).round(3).tolist(),
        },
        text=[
            f"{unit} of {row['start']}: {seconds(row['median_ms'])} s"
            f" ({seconds(row['low_ms'])} to {seconds(row['high_ms'])}) · {row['n']} solves"
            for _, row in enough.iterrows()
        ],
        hovertemplate="%{text}<extra></extra>",
    )
    figure.add_scatter(
        name="Median of fewer than 5",
        showlegend=len(few) > 0,
        mode="markers",
        x=few["start"].tolist(),
        y=(few["median_ms"] / 1000).round(3).tolist(),
        marker=POINT,
        text=[
            f"{unit} of {row['start']}: {seconds(row['median_ms'])} s · {row['n']} solves"
            for _, row in few.iterrows()
        ],
        hovertemplate="%{text}<extra></extra>",
    )
    top = float(periods[["median_ms", "high_ms"]].max().max()) / 1000
    for kind, symbol in zip(kinds, _SYMBOLS, strict=False):
        own = [mark for mark in marks if mark.kind == kind]
        if own:
            _add_marks(figure, own, symbol, foot=-0.05 * top)
    dotted: dict[str, Any] = {"type": "line", "yref": "paper", "y0": 0, "y1": 1, "layer": "below"}
    dotted["line"] = {"color": SOFT, "width": 1, "dash": "dot"}
    days = sorted({mark.day.isoformat() for mark in marks})
    figure.update_layout(
        margin={"t": 72}, showlegend=True, shapes=[{**dotted, "x0": day, "x1": day} for day in days]
    )
    figure.update_xaxes(showgrid=False, type="date")
    figure.update_yaxes(autorange=False, range=[-0.1 * top, 1.08 * top], showgrid=True, title=title)
    return figure


def _add_marks(figure: go.Figure, marks: Sequence[AxisMark], symbol: str, *, foot: float) -> None:
    figure.add_scatter(
        name=marks[0].kind,
        mode="markers",
        x=[mark.day.isoformat() for mark in marks],
        y=[foot] * len(marks),
        marker={"symbol": symbol, "size": 10, "color": INK, "line": {"color": INK, "width": 2}},
        text=[mark.words for mark in marks],
        hovertemplate="%{x}: %{text}<extra></extra>",
    )
