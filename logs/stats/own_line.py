"""What a case would take in one look, from the member's own one-look cases.

``ln(time) = a + b ln(turns)`` over their cases; the band is that of a new case, not of the line.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.stats import linregress
from scipy.stats import t as student

BAND = 0.80


FITTED_FROM = 4


@dataclass(frozen=True, slots=True)
class Prediction:
    """The time of a case that the member does not do in one look yet.

    Attributes:
        median_ms: Settled time.
        low_ms: Lower end of the band.
        high_ms: Upper end.
        mean_ms: Expected time, ``exp(mu + sd^2 / 2)``: what seconds per solve add up in.
        sd_ms: Standard deviation of it.
        log_sd: Standard deviation of its log.
    """

    median_ms: float
    low_ms: float
    high_ms: float
    mean_ms: float
    sd_ms: float
    log_sd: float


@dataclass(frozen=True, slots=True)
class OwnLine:
    """A member's line of log seconds on log turns.

    Attributes:
        intercept: a, for time in seconds.
        slope: b.
        residual_sd: s, with ``n - 2`` degrees of freedom.
        n: Cases behind it.
        mean_log_turns: Where the line is surest.
        square_sum: Sum of squares of log turns about their mean.
    """

    intercept: float
    slope: float
    residual_sd: float
    n: int
    mean_log_turns: float
    square_sum: float

    def predict(self, turns: int, *, factor: float = 1.0, band: float = BAND) -> Prediction:
        """The time of a case of so many turns.

        Cases learnt so far are the easy or loved ones, so the prediction is hopeful.

        Args:
            turns: Turns of the algorithm, at least 1.
            factor: What the club's own before and after of learnt cases say to multiply by.
            band: How often such a band holds the truth, between 0 and 1.

        Raises:
            ValueError: ``turns`` is below 1.
        """
        if turns < 1:
            raise ValueError(f"turns is {turns}: an algorithm has at least 1")
        x = float(np.log(turns))
        middle = self.intercept + self.slope * x + float(np.log(factor))
        away = (x - self.mean_log_turns) ** 2 / self.square_sum
        sd = self.residual_sd * float(np.sqrt(1 + 1 / self.n + away))
        reach = sd * float(student.ppf((1 + band) / 2, self.n - 2))
        mean = 1000 * float(np.exp(middle + sd**2 / 2))
        return Prediction(
            median_ms=1000 * float(np.exp(middle)),
            low_ms=1000 * float(np.exp(middle - reach)),
            high_ms=1000 * float(np.exp(middle + reach)),
            mean_ms=mean,
            sd_ms=mean * float(np.sqrt(np.expm1(sd**2))),
            log_sd=sd,
        )


def own_line(times_ms: pd.Series, *, turns: Mapping[str, int]) -> OwnLine | None:
    """The line through a member's one-look cases.

    None below four cases, or when all have as many turns: nothing can be said yet.

    Args:
        times_ms: float64 ms above 0, one for each one-look case (shrunk centres of execution),
            indexed by case; NaN is left out.
        turns: Turns of the algorithm of each of them.

    Raises:
        ValueError: A case is missing from ``turns``.
    """
    known = times_ms.dropna().sort_index()
    missing = [case for case in known.index if case not in turns]
    if missing:
        raise ValueError(f"turns has no entry for case {missing[0]!r}")
    x = np.log([float(turns[case]) for case in known.index])
    if len(known) < FITTED_FROM or np.ptp(x) == 0:
        return None
    y = np.log(known.to_numpy(dtype=float) / 1000)
    fit = linregress(x, y)
    residuals = y - fit.intercept - fit.slope * x
    return OwnLine(
        intercept=float(fit.intercept),
        slope=float(fit.slope),
        residual_sd=float(np.sqrt(residuals @ residuals / (len(y) - 2))),
        n=len(y),
        mean_log_turns=float(x.mean()),
        square_sum=float(((x - x.mean()) ** 2).sum()),
    )
