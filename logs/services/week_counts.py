"""One member's solves counted by week. Nothing here touches the database."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from cubecore.replay import Kind, Status
from logs.analytics.sketch import bucket_of
from logs.analytics.weeks import week_of

LAST_LAYER = (
    "oll__recognition_ms",
    "oll__execution_ms",
    "pll__recognition_ms",
    "pll__execution_ms",
)
"""What a last layer's time is the sum of."""


@dataclass(slots=True)
class WeekCell:
    """What the solves of one week come to.

    Attributes:
        n: How many there are.
        last_layer_ms_sum: Sum of the last layers that count.
        last_layer: The same by bucket of `logs.analytics.sketch`.
    """

    n: int = 0
    last_layer_ms_sum: int = 0
    last_layer: Counter[int] = field(default_factory=Counter)


def count_weeks(solves: Iterable[Mapping[str, Any]]) -> dict[tuple[str, date | None], WeekCell]:
    """Solves counted by kind and Monday; None for those without a date.

    The last layer of a solve counts where the solve does (no DNF) and both of its stages are timed.

    Args:
        solves: Rows with ``kind``, ``done_at``, ``status`` and ``LAST_LAYER``, in any order.
    """
    cells: dict[tuple[str, date | None], WeekCell] = {}
    for row in solves:
        at = row["done_at"]
        key = (row["kind"] or Kind.SOLVE.value, None if at is None else week_of(at))
        cell = cells.setdefault(key, WeekCell())
        cell.n += 1
        parts = [row[name] for name in LAST_LAYER]
        if row["status"] == Status.DNF or None in parts or not sum(parts):
            continue
        cell.last_layer_ms_sum += sum(parts)
        cell.last_layer[bucket_of(sum(parts))] += 1
    return cells
