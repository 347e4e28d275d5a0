"""The two frames that everything in analytics reads: their columns, dtypes, and how one is made."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import pandas as pd

SOLVE_COLUMNS: Mapping[str, str] = {
    "solve_id": "int64",
    "done_at": "datetime64[ns, UTC]",
    "status": "str",
    "kind": "str",
    "time_ms": "float64",
    "cross_ms": "float64",
    "f2l_ms": "float64",
    "oll_recognition_ms": "float64",
    "oll_execution_ms": "float64",
    "pll_recognition_ms": "float64",
    "pll_execution_ms": "float64",
    "final_auf_ms": "float64",
}
"""One solve or drill on a line, oldest first, undated ones before all others.

``time_ms`` is the counted time: 2,000 ms on top for a +2, NaN for a DNF. ``kind`` is ``solve``,
``drill``, or empty for a row without a solution. Splits are NaN, ``done_at`` NaT, where the log
does not tell."""

SIGHTING_COLUMNS: Mapping[str, str] = {
    "sighting_id": "int64",
    "solve_id": "int64",
    "done_at": "datetime64[ns, UTC]",
    "stage": "str",
    "case": "str",
    "angle": "int64",
    "is_one_look": "bool",
    "n_looks": "int64",
    "first_outcome": "str",
    "recognition_ms": "float64",
    "execution_ms": "float64",
    "algorithm": "str",
    "misfire_kind": "str",
    "misfire_case": "str",
}
"""One case met in one solve on a line, in the order of the solves, OLL before PLL.

``case`` is ``"27"``, ``"T"`` or ``"skip"``. A skip has no look: ``n_looks`` is 0, ``is_one_look``
False, ``first_outcome`` and ``algorithm`` empty. The two times are sums over the looks, NaN for
untimed solves and where the stage's goal was not reached."""


def build_frame(columns: Mapping[str, str], rows: Iterable[Sequence[Any]]) -> pd.DataFrame:
    """The frame of ``rows``, with exactly ``columns`` and their dtypes, also for no rows.

    Args:
        columns: Name to dtype, in the order of the values of a row.
        rows: Values; None where there is none (float64 and datetime columns alone).
    """
    values: list[Sequence[Any]] = list(zip(*rows, strict=True))
    values = values or [()] * len(columns)
    return pd.DataFrame(
        {
            name: pd.Series(value, dtype=dtype)
            for (name, dtype), value in zip(columns.items(), values, strict=True)
        }
    )
