"""What every chart shares: one ink on paper, recognition hatched, execution solid.

Colours and faces are named as the page's CSS variables; the page's own script looks them up.
"""

from collections.abc import Mapping, Sequence
from typing import Any, Final

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


Figure = dict[str, Any]
"""A chart as the page's plotly.js reads it: ``data`` and ``layout``, plain values."""


_AXIS: Final[dict[str, Any]] = {"fixedrange": True, "zeroline": False, "automargin": True}


def new_figure(
    traces: Sequence[Mapping[str, Any]],
    *,
    height: int,
    x: Mapping[str, Any],
    y: Mapping[str, Any],
    **layout: object,
) -> Figure:
    """A figure in the site's look, ``height`` pixels high and as wide as its place.

    Args:
        traces: What is drawn, in order.
        height: Pixels.
        x: What the axis to the right has beside the site's look.
        y: What the axis upwards has.
        layout: Further parts of the layout.
    """
    look_x = {"gridcolor": RULE, "ticks": "outside", "tickcolor": RULE}
    look_y = {"gridcolor": RULE, "showgrid": False, "ticks": "", "ticklabelstandoff": 6}
    return {
        "data": [dict(trace) for trace in traces],
        "layout": {
            "height": height,
            "autosize": True,
            "margin": {"l": 8, "r": 12, "t": 40, "b": 44},
            "paper_bgcolor": CLEAR,
            "plot_bgcolor": CLEAR,
            "font": {"family": FACE, "color": INK, "size": 13},
            "dragmode": False,
            "hoverlabel": {
                "bgcolor": SHEET,
                "bordercolor": INK,
                "font": {"family": FACE, "color": INK},
            },
            "legend": {
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
            "xaxis": {**_AXIS, **look_x, **x},
            "yaxis": {**_AXIS, **look_y, "autorange": "reversed", **y},
            **layout,
        },
    }


def axis_title(text: str, **more: object) -> dict[str, Any]:
    """The title of an axis."""
    return {"text": text, "font": {"size": 13}, **more}


def seconds(ms: float) -> str:
    """An average or a median, rounded to the hundredth: ``0.94``."""
    return f"{ms / 1000:.2f}"
