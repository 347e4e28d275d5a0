"""Recognition and execution by case: recognition to the left of one line, execution to the right."""

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

import pandas as pd
import plotly.graph_objects as go

from logs.analytics.cases import FEW
from logs.charts.theme import BAND, CASING, HATCHED, INK, POINT, SOLID, new_figure, seconds

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
    """Medians with their bands as bars; cases with few times as hollow points.

    Args:
        table: `logs.analytics.cases.case_table`; rows without a time are left out.
        points: `logs.analytics.cases.few_points` of the same sightings.
        names: How each case is written, such as ``OLL 27 Sune``.
    """
    shown = table[table["n_timed"] > 0]
    figure = new_figure(height=120 + ROW_PX * len(shown))
    labels = {
        row["case"]: f"{' '.join(names[row['case']].split()[:2])} · {row['n_timed']}×"  # noqa: RUF001 - as in print
        for _, row in shown.iterrows()
    }
    bars = shown[shown["n_timed"] >= FEW]
    for side in _SIDES:
        _add_bars(figure, side, bars, labels, names)
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


def _add_bars(
    figure: go.Figure,
    side: _Side,
    rows: pd.DataFrame,
    labels: Mapping[str, str],
    names: Mapping[str, str],
) -> None:
    """Bars to the medians, each with its band."""
    middle, low, high = (rows[f"{side.part}{end}"] / 1000 for end in ("_ms", "_low_ms", "_high_ms"))
    ends = (high - middle).round(3).tolist(), (middle - low).round(3).tolist()
    right, left = ends if side.sign == 1 else ends[::-1]
    place = {
        "y": [labels[case] for case in rows["case"]],
        "x": (side.sign * middle).round(3).tolist(),
    }
    figure.add_bar(
        **place,
        orientation="h",
        name=side.name,
        marker=side.marker,
        text=[
            f"{names[row['case']]}: {side.part} {seconds(row[f'{side.part}_ms'])} s"
            f" ({seconds(row[f'{side.part}_low_ms'])} to {seconds(row[f'{side.part}_high_ms'])})"
            f" · {row['n_timed']} times"
            for _, row in rows.iterrows()
        ],
        textposition="none",
        hovertemplate="%{text}<extra></extra>",
    )
    for line, cap in ((CASING, 0), (BAND, 4)):
        figure.add_scatter(
            **place,
            mode="markers",
            marker={"size": 1, "color": INK},
            error_x={**line, "width": cap, "array": right, "arrayminus": left},
            showlegend=False,
            hoverinfo="skip",
        )


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
        marker=POINT,
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
        highs = [*shown.loc[shown["n_timed"] >= FEW, f"{part}_high_ms"], *points[f"{part}_ms"]]
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
