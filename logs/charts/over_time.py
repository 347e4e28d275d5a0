"""Solve times over time, with marks on the axis for what may have changed them."""

from collections.abc import Sequence
from datetime import date
from typing import Any, NamedTuple

import pandas as pd
import plotly.graph_objects as go

from logs.charts.theme import BAND, INK, POINT, SOFT, SOLID, new_figure, seconds


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
        periods: `logs.analytics.periods.times_by_period`, with rows; ``start`` as ISO text.
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
