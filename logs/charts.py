"""What every chart shares: one ink on paper, recognition hatched, execution solid.

Colours and faces are named as the page's CSS variables; the page's own script looks them up.
"""

from typing import Any, Final

import plotly.graph_objects as go

INK: Final = "var(--ink)"


SOFT: Final = "var(--ink-soft)"


PAPER: Final = "var(--paper)"


SHEET: Final = "var(--sheet)"


RULE: Final = "var(--rule)"


CLEAR: Final = "rgba(0,0,0,0)"


FACE: Final = "var(--font-text)"


_OUTLINE: Final = {"color": INK, "width": 1}


SOLID: Final[dict[str, Any]] = {"color": INK, "line": _OUTLINE}


OPEN: Final[dict[str, Any]] = {"color": SHEET, "line": _OUTLINE}


HATCHED: Final[dict[str, Any]] = {
    "color": SHEET,
    "line": _OUTLINE,
    "pattern": {
        "shape": "/",
        "fillmode": "replace",
        "fgcolor": INK,
        "bgcolor": SHEET,
        "size": 6,
        "solidity": 0.35,
    },
}


BAND: Final[dict[str, Any]] = {"type": "data", "symmetric": False, "color": INK, "thickness": 2}


CASING: Final[dict[str, Any]] = {"type": "data", "symmetric": False, "color": PAPER, "thickness": 7}
"""A wider line of paper under a band, so that it is seen upon a bar too."""


POINT: Final[dict[str, Any]] = {
    "symbol": "circle-open",
    "size": 8,
    "color": INK,
    "line": {"width": 2},
}


DOT: Final[dict[str, Any]] = {"size": 6, "color": INK, "line": {"color": PAPER, "width": 1.5}}
"""One sighting: with a rim of paper, so that it is seen upon a bar too."""


def new_figure(*, height: int) -> go.Figure:
    """An empty figure in the site's look, ``height`` pixels high and as wide as its place."""
    figure = go.Figure()
    figure.update_layout(
        template="none",
        height=height,
        autosize=True,
        margin={"l": 8, "r": 12, "t": 40, "b": 44},
        paper_bgcolor=CLEAR,
        plot_bgcolor=CLEAR,
        font={"family": FACE, "color": INK, "size": 13},
        dragmode=False,
        hoverlabel={"bgcolor": SHEET, "bordercolor": INK, "font": {"family": FACE, "color": INK}},
        legend={
            "orientation": "h",
            "yref": "container",
            "y": 1,
            "yanchor": "top",
            "x": 0,
            "xanchor": "left",
            "itemclick": False,
            "itemdoubleclick": False,
            "traceorder": "normal",
        },
    )
    axis = {"fixedrange": True, "zeroline": False, "automargin": True}
    figure.update_xaxes(**axis, gridcolor=RULE, ticks="outside", tickcolor=RULE, title_font_size=13)
    figure.update_yaxes(
        **axis,
        gridcolor=RULE,
        title_font_size=13,
        showgrid=False,
        ticks="",
        ticklabelstandoff=6,
        autorange="reversed",
    )
    return figure


def seconds(ms: float) -> str:
    """An average or a median, rounded to the hundredth: ``0.94``."""
    return f"{ms / 1000:.2f}"
