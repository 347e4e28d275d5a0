"""Recognition and execution by case: recognition to the left of one line, execution to the right."""

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

import pandas as pd
import plotly.graph_objects as go

from logs.analytics.grid import HOLLOW_BELOW
from logs.charts.theme import BAND, CASING, DOT, HATCHED, INK, POINT, SOLID, new_figure, seconds

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
