"""What practice answers tell: how often each case was told rightly, how soon, and what it was not.

Practice is no solve: nothing here is mixed with a figure of solves.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from math import log
from random import Random
from typing import Final, cast

import pandas as pd

from cubecore.cases import CaseId, Stage
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


# Which case to ask next: the one that this member is likeliest to forget. How a memory fades is put
# simply: the chance to tell a case halves with every half-life since it was asked last; a right
# answer doubles the half-life, a wrong one makes it short. That questions spaced out hold longer
# than massed ones is reviewed by Cepeda et al. 2006, "Distributed practice in verbal recall tasks";
# the numbers are start values of ours, and the first half-life is fitted to the member.
Histories = Mapping[CaseId, Sequence[tuple[float, bool]]]
"""By case the hour of each answer, the oldest first, and whether it was right."""

GROWTH = 2.0
AFTER_WRONG_H = 0.05
GUESS_SHARE = 0.2
"""Right answers by luck, of about five choices."""
FADING_BELOW = 0.85
_HALF_LIVES_H: Final = (0.5, 1.5, 4.5, 13.5, 40.5, 121.5)
_USUAL, _PULL = 3, 0.5
_NEAREST = 3


def first_half_life_h(histories: Histories) -> float:
    """Hours after which a member has forgotten half of what they told rightly once.

    The likeliest of six by their answers, pulled towards the fourth while there are few.
    """

    def fit(place: int) -> float:
        likelihood = sum(_log_likelihood(one, _HALF_LIVES_H[place]) for one in histories.values())
        return likelihood - _PULL * (place - _USUAL) ** 2

    return _HALF_LIVES_H[max(range(len(_HALF_LIVES_H)), key=fit)]


def _half_life_after(half_life_h: float, first_h: float, *, is_right: bool) -> float:
    return max(first_h, GROWTH * half_life_h) if is_right else AFTER_WRONG_H


def _log_likelihood(history: Sequence[tuple[float, bool]], first_h: float) -> float:
    total = half_life = last = 0.0
    for hour, is_right in history:
        if half_life:
            recall = 2 ** (-(hour - last) / half_life)
            right = recall + (1 - recall) * GUESS_SHARE
            total += log(min(right, 0.99) if is_right else max(1 - right, 0.01))
        half_life, last = _half_life_after(half_life, first_h, is_right=is_right), hour
    return total


def recall_shares(histories: Histories, *, hour: float) -> dict[CaseId, float]:
    """The chance, 0..1, that a member can tell each case that they were asked before."""
    first_h = first_half_life_h(histories)
    shares = {}
    for case, history in histories.items():
        half_life = 0.0
        for _, is_right in history:
            half_life = _half_life_after(half_life, first_h, is_right=is_right)
        shares[case] = 2 ** (-(hour - history[-1][0]) / half_life)
    return shares


def next_case(
    pool: Sequence[CaseId],
    shares: Mapping[CaseId, float],
    *,
    rng: Random,
    after: CaseId | None = None,
) -> CaseId:
    """The case to ask: one that fades, else one that is new, else one that will fade soonest.

    Args:
        pool: Cases, not empty.
        shares: As `recall_shares` has them.
        rng: Draws among the few that fit best, and among all that are new.
        after: The case of the question before: not asked twice in a row if there is another.
    """
    others = [case for case in pool if case != after] or list(pool)
    asked = sorted((case for case in others if case in shares), key=shares.__getitem__)
    fading = [case for case in asked if shares[case] < FADING_BELOW]
    new = [case for case in others if case not in shares]
    return rng.choice(fading[:_NEAREST] or new or asked[:_NEAREST])
