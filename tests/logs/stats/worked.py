"""The worked examples as the tests share them, by their short names.

Their figures were computed apart from this project's code, with NumPy, SciPy and statsmodels, from
published methods. Where a test gives no tolerance of its own, it is one unit of the last digit.

- W1 times of cases pooled: Efron and Morris 1975 (JASA 70); Gelman et al., Bayesian Data Analysis.
- W2 rates, knowing, coverage, unmet cases: Beta-binomial (Gelman et al.); knowledge tracing (Corbett
  and Anderson 1995); boxes filled at random (Flajolet, Gardy and Thimonier 1992); Pearson's test.
- W3 a line of log time on log turns and what a case would gain: least squares, textbook.
- W4 solves until met (geometric distribution); the sequential test (Wald 1945); before and since;
  drills against solves (Welch 1947).
- W5 curves (Heathcote, Brown and Mewhort 2000; AICc: Burnham and Anderson 2002); sameness by two
  one-sided tests (Schuirmann 1987); ex-Gaussian times (Luce 1986).
- W6 mix-ups: Beta(1/2, 1/2). W7 member by case: median polish (Tukey 1977).
"""

import pandas as pd

W1_TIMES = {
    "A": (1840, 2310, 1560, 2630, 1730, 2180, 1490, 2910, 1970, 2420, 1650, 2050),
    "B": (2650, 2080, 3310, 2240, 2960, 2170),
    "C": (2150, 1690, 2780, 2440),
    "D": (3620, 2490, 3080),
    "E": (1610, 2150),
    "F": (3910, 2380),
    "G": (4980,),
    "H": (1520,),
}
W5A_TIMES_MS = [
    float(ms)
    for ms in (
        5210, 4360, 4740, 3790, 3950, 3420, 3700, 3110, 3380, 2950, 3210, 2780,
        3050, 2620, 2960, 2710, 2550, 2830, 2600, 2740, 2480, 2690, 2570, 2630,
    )
]  # fmt: skip

OLL_CHANCES = {
    str(number): (2 if number in (1, 21, 55, 56, 57) else 1 if number == 20 else 4) / 216
    for number in range(1, 58)
}
PLL_FOURTHS = ("Aa", "Ab", "F", "Ga", "Gb", "Gc", "Gd", "Ja", "Jb", "Ra", "Rb", "T", "Ua", "Ub")
PLL_CHANCES = (
    dict.fromkeys((*PLL_FOURTHS, "V", "Y"), 4 / 72)
    | dict.fromkeys(("E", "Z"), 2 / 72)
    | dict.fromkeys(("H", "Na", "Nb"), 1 / 72)
)


def case_times(times: dict[str, tuple[int, ...]]) -> pd.Series:
    """Times in ms indexed by case."""
    index = [case for case, some in times.items() for _ in some]
    return pd.Series([float(ms) for some in times.values() for ms in some], index=index)


def counts(rows: dict[str, tuple[int, int]]) -> pd.DataFrame:
    """``n_hits`` and ``n`` indexed by case."""
    return pd.DataFrame(
        list(rows.values()), columns=["n_hits", "n"], index=list(rows), dtype="int64"
    )
