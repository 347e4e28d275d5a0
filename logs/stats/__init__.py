"""General statistics on frames and plain values; knows no noun of the house and no Django."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """Where a figure lies, with what chance.

    Attributes:
        low: Lower end, in the unit of the figure.
        high: Upper end, in the unit of the figure.
        level: Chance that the figure lies within, 0..1.
    """

    low: float
    high: float
    level: float
