"""The sightings of one case in their order: recognition below, execution upon it, marks between."""

from collections.abc import Sequence
from typing import Any, Final, NamedTuple

import pandas as pd
import plotly.graph_objects as go

from logs.charts import BAND, CASING, CLEAR, HATCHED, INK, RULE, SOFT, SOLID, new_figure, seconds

HEIGHT: Final = 340


_PARTS: Final = (("Recognition", "recognition_ms", HATCHED), ("Execution", "execution_ms", SOLID))


class Mark(NamedTuple):
    """A mark on the axis: before which sighting it stands, its letter, and what it is."""

    before: int
    letter: str
    words: str


class Typical(NamedTuple):
    """The typical time of the whole stage with its band, ms, and the sightings behind it."""

    centre_ms: float
    low_ms: float
    high_ms: float
    n: int


def sightings_figure(
    sightings: pd.DataFrame,
    *,
    marks: Sequence[Mark],
    curve: pd.DataFrame | None,
    typical: Typical | None,
) -> go.Figure:
    """A bar for every sighting, so that a small sample is all its points.

    Args:
        sightings: ``recognition_ms``, ``execution_ms``, ``words`` and ``is_odd``, indexed by the
            number of the sighting, the first ever being 1; no NaN.
        marks: On the axis, at a number of ``sightings`` or one beyond.
        curve: `logs.stats.curves.curve_band` at these numbers; None where none may be drawn.
        typical: What is known of the stage; None of nothing.
    """
    figure = new_figure(height=HEIGHT)
    x = [int(number) for number in sightings.index]
    for name, column, marker in _PARTS:
        figure.add_bar(
            name=name,
            x=x,
            y=_s(sightings[column]),
            marker=marker,
            text=list(sightings["words"]),
            textposition="none",
            hovertemplate="%{text}<extra></extra>",
        )
    stage = sightings["recognition_ms"] + sightings["execution_ms"]
    if curve is not None:
        _add_curve(figure, curve)
    _add_odd(figure, stage[sightings["is_odd"]])
    beyond = x[-1]
    if typical is not None:
        beyond += 2
        _add_typical(figure, beyond, typical)
    for mark in marks:
        figure.add_vline(x=mark.before - 0.5, line={"color": INK, "width": 1, "dash": "dash"})
        figure.add_annotation(
            x=mark.before - 0.5,
            y=1,
            yref="paper",
            yanchor="bottom",
            text=mark.letter,
            hovertext=mark.words,
            showarrow=False,
            font={"color": INK},
        )
    figure.update_layout(barmode="stack", bargap=0.25, margin={"t": 84})
    top = max([float(stage.max()), *([typical.high_ms] if typical else [])]) / 1000
    figure.update_yaxes(
        title="seconds", autorange=False, range=[0, top * 1.08], showgrid=True, gridcolor=RULE
    )
    ticks = _ticks(x)
    figure.update_xaxes(
        title="sightings in solves, oldest first",
        range=[x[0] - 1, beyond + 1],
        showgrid=False,
        tickvals=[*ticks, *([beyond] if typical else [])],
        ticktext=[*map(str, ticks), *(["typical"] if typical else [])],
    )
    return figure


def _s(times_ms: pd.Series) -> list[float]:
    return [round(float(ms) / 1000, 3) for ms in times_ms]


def _ticks(x: list[int]) -> list[int]:
    step = next(step for step in (1, 2, 5, 10, 20, 50) if len(x) / step <= 8 or step == 50)
    return [number for number in x if number % step == 0 or number == x[0]]


def _add_curve(figure: go.Figure, curve: pd.DataFrame) -> None:
    x = [int(number) for number in curve.index]
    for column, dash in (("low_ms", "dot"), ("centre_ms", "solid"), ("high_ms", "dot")):
        for line in (
            {"color": CASING["color"], "width": 5},
            {"color": INK, "width": 2, "dash": dash},
        ):
            is_named = column == "centre_ms" and "dash" in line
            figure.add_scatter(
                x=x,
                y=_s(curve[column]),
                mode="lines",
                line=line,
                name="Curve, with its range dotted",
                showlegend=is_named,
                hoverinfo="skip",
            )


def _add_odd(figure: go.Figure, stage: pd.Series) -> None:
    figure.add_scatter(
        x=[int(number) for number in stage.index],
        y=_s(stage),
        mode="markers",
        marker={"symbol": "diamond", "size": 10, "color": SOFT, "line": {"color": INK, "width": 1}},
        name="Far from the others",
        showlegend=len(stage) > 0,
        hoverinfo="skip",
    )


def _add_typical(figure: go.Figure, x: int, typical: Typical) -> None:
    low, centre, high = (ms / 1000 for ms in (typical.low_ms, typical.centre_ms, typical.high_ms))
    said = (
        f"Typical: {seconds(typical.centre_ms)} s ({seconds(typical.low_ms)} to"
        f" {seconds(typical.high_ms)}) · {typical.n} times"
    )
    marker: dict[str, Any] = {"size": 11, "color": CLEAR, "line": {"color": INK, "width": 2}}
    figure.add_scatter(
        x=[x],
        y=[round(centre, 3)],
        mode="markers",
        marker=marker,
        error_y={
            **BAND,
            "width": 6,
            "array": [round(high - centre, 3)],
            "arrayminus": [round(centre - low, 3)],
        },
        name="Typical time with its range",
        text=[said],
        hovertemplate="%{text}<extra></extra>",
    )
