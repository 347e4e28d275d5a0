"""Where the time of a solve goes, part by part."""

from typing import Final

import pandas as pd
import plotly.graph_objects as go

from logs.charts.theme import HATCHED, INK, OPEN, SOLID, new_figure, seconds

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
        shares: `logs.analytics.splits.stage_shares`, with rows.
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
