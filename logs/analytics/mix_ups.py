"""Which case is taken for which: misfires the engine could name, with how sure they make one."""

from typing import Final

import pandas as pd
from scipy.stats import beta as beta_distribution

BAND = 0.80
LIMIT = 0.05
PRINTED_FROM = 2
PRINTED_SURE = 0.9
MIX_UP_COLUMNS: Final = (
    "shown",
    "kind",
    "executed",
    "n_events",
    "n",
    "rate",
    "low",
    "high",
    "p_above_limit",
    "is_printed",
)


def mix_up_table(sightings: pd.DataFrame) -> pd.DataFrame:
    """Shown case against executed case, with the rate of each cell.

    Matrices of this kind mix likeness with leaning (Luce 1963): more of A as B than of B as A is
    a lean towards B, and A's mark is what to teach (`rate_order` compares the two).

    Args:
        sightings: Columns ``case``, ``misfire_kind`` and ``misfire_case`` of one stage of
            ``SIGHTING_COLUMNS``, any order; empty text where there was no misfire.

    Returns:
        ``MIX_UP_COLUMNS``, one row a cell with an event, the most events first. ``n`` counts all
        sightings of the shown case; ``rate`` is the median of Beta(1/2, 1/2) brought up to date,
        with its 80 % band; ``is_printed`` is True from two events on where P(rate > 5 %) is at
        least 0.9: the rest is not to be told as a finding.
    """
    seen = sightings["case"].value_counts()
    named = sightings[(sightings["misfire_kind"] != "") & (sightings["misfire_case"] != "")]
    keys = ["case", "misfire_kind", "misfire_case"]
    cells = named.groupby(keys).size().reset_index(name="n_events")
    table = pd.DataFrame(
        [
            {"shown": case, "kind": kind, "executed": executed, "n_events": count, "n": seen[case]}
            for case, kind, executed, count in cells.itertuples(index=False, name=None)
        ],
        columns=list(MIX_UP_COLUMNS),
    )
    rates = mix_up_rates(table["n_events"], table["n"])
    table = table.assign(**{str(name): rates[name] for name in rates.columns})
    table = table.astype({"n_events": "int64", "n": "int64"})
    return table.sort_values(
        ["n_events", "shown", "executed", "kind"],
        ascending=[False, True, True, True],
        ignore_index=True,
    )


def mix_up_rates(n_events: pd.Series, n: pd.Series) -> pd.DataFrame:
    """``rate``, ``low``, ``high``, ``p_above_limit`` and ``is_printed`` of each cell.

    Args:
        n_events: Mix-ups of each cell.
        n: Sightings of the shown case, on the same index.
    """
    hits, sightings = n_events.to_numpy(dtype=float), n.to_numpy(dtype=float)
    posterior = beta_distribution(hits + 0.5, sightings - hits + 0.5)
    above = posterior.sf(LIMIT)
    return pd.DataFrame(
        {
            "rate": posterior.median(),
            "low": posterior.ppf((1 - BAND) / 2),
            "high": posterior.ppf((1 + BAND) / 2),
            "p_above_limit": above,
            "is_printed": (hits >= PRINTED_FROM) & (above >= PRINTED_SURE),
        },
        index=n_events.index,
    )


def mix_up_cost_ms(*, chance: float, n_events: int, n: int, lost_ms: float) -> float:
    """What a mix-up costs in an average solve, ms: in the same currency as what is learnt next.

    Args:
        chance: Of the shown case in one solve.
        n_events: Its mix-ups of this kind.
        n: Its sightings.
        lost_ms: What one such misfire loses.
    """
    return chance * (n_events + 0.5) / (n + 1) * lost_ms
