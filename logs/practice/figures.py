"""What practice answers tell: how often each case was told rightly, how soon, and what it was not.

Practice is no solve: nothing here is mixed with a figure of solves.
"""

from collections import Counter
from collections.abc import Mapping
from typing import Final, cast

import pandas as pd

from cubecore.cases import Stage
from logs.cases.facts import case_chances
from logs.solves.figures.mistakes import cell_prior, mix_up_rates
from logs.stats.distributions import median_band

PRACTICE_COLUMNS: Final[Mapping[str, str]] = {
    "member_id": "int64",
    "at": "datetime64[ns, UTC]",
    "task": "str",
    "stage": "str",
    "case": "str",
    "answered": "str",
    "is_right": "bool",
    "recognition_ms": "float64",
}
"""One answer on a line, the oldest first. ``task`` is ``case`` or ``hold``; ``recognition_ms`` is
NaN where the browser could not measure."""


_KEYS = ["task", "stage", "case"]


def practice_by_case(answers: pd.DataFrame) -> pd.DataFrame:
    """How each case went.

    Args:
        answers: A ``PRACTICE_COLUMNS`` frame of one member.

    Returns:
        One row for each task and case, by task, stage and how often it was asked: ``task``,
        ``stage``, ``case``, ``n``, ``n_right``; and of the right answers with a time ``n_timed``,
        their ``median_ms`` and its band ``low_ms``, ``high_ms``, ``level`` (`median_band`; None without any).
    """
    rows = []
    for (task, stage, case), group in answers.groupby(_KEYS, sort=True):
        timed = median_band(group.loc[group["is_right"], "recognition_ms"])
        rows.append(
            {
                "task": task,
                "stage": stage,
                "case": case,
                "n": len(group),
                "n_right": int(group["is_right"].sum()),
                "n_timed": timed.n,
                "median_ms": timed.median,
                "low_ms": timed.low,
                "high_ms": timed.high,
                "level": timed.held,
            }
        )
    table = pd.DataFrame(rows, columns=[*_KEYS, *_FOUND])
    return table.sort_values(
        ["task", "stage", "n"], ascending=[True, True, False], kind="stable", ignore_index=True
    )


_FOUND = ["n", "n_right", "n_timed", "median_ms", "low_ms", "high_ms", "level"]


def practice_mix_ups(answers: pd.DataFrame) -> pd.DataFrame:
    """What was taken for what, and which cases were held wrongly.

    Args:
        answers: A ``PRACTICE_COLUMNS`` frame of one member or of several together.

    Returns:
        One row a cell with a wrong answer, the most first: ``task``, ``stage``, ``case``,
        ``answered``, ``n_events``, ``n`` (how often the case was asked so), and the columns of
        `mix_up_rates`.
    """
    asked = answers.groupby(_KEYS).size()
    wrong = answers[~answers["is_right"]].groupby([*_KEYS, "answered"]).size()
    cells = wrong.rename("n_events").reset_index()
    places = pd.MultiIndex.from_frame(cells[_KEYS])
    cells["n"] = asked.reindex(places).to_numpy(dtype="int64")
    looks: Counter[int] = Counter()
    for key, n in asked.items():
        task, stage, _ = cast("tuple[str, str, str]", key)
        looks[int(n)] += 3 if task == "hold" else len(case_chances(Stage(stage))) - 1
    prior = cell_prior(cells["n_events"], cells["n"], looks=looks)
    rates = mix_up_rates(cells["n_events"], cells["n"], prior=prior)
    return cells.join(rates).sort_values(
        ["n_events", "stage", "case", "answered"],
        ascending=[False, True, True, True],
        ignore_index=True,
    )
