"""Times of cases by partial pooling: each case leans on the member's other cases as it must.

Within a member ``ln(time) = theta_case + e``, ``e ~ N(0, sigma^2)``, ``theta ~ N(mu_case, tau^2)``.
Sources: Efron and Morris 1975 (JASA 70); Gelman et al., Bayesian Data Analysis 3rd ed., ch. 5;
Fay and Herriot 1979 for the regression of ``mu_case``.

What a case would take in one look, from the member's own one-look cases.

``ln(time) = a + b ln(turns)`` over their cases; the band is that of a new case, not of the line.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.stats import linregress
from scipy.stats import t as student

from logs.stats.distributions import Floats

REGRESSION_FROM = 9
"""From so many cases on their centre follows the turns of the algorithm; below there is one."""


@dataclass(frozen=True, slots=True)
class Spread:
    """How far cases lie apart (tau) and sightings of one case (sigma), sd of log times."""

    tau: float
    sigma: float


@dataclass(frozen=True, slots=True, eq=False)
class CaseSums:
    """All that pooling needs of a member's times.

    Attributes:
        cases: Their names, in order.
        n: Sightings of each; 0 for a case that is asked for and was never timed.
        mean: Mean of ln seconds of each, 0 without a sighting.
        square_sum: Sum of squares within the cases.
        design: One row a case: 1, and ln turns where the centre follows them.
        offset: Known part of ln seconds of each case, taken out before pooling.
    """

    cases: tuple[str, ...]
    n: Floats
    mean: Floats
    square_sum: float
    design: Floats
    offset: Floats


def case_sums(
    times_ms: pd.Series,
    *,
    cases: Sequence[str] = (),
    turns: Mapping[str, int] | None = None,
    expected_ms: Mapping[str, float] | None = None,
) -> CaseSums:
    """The sums of a member's times of one kind: recognition, execution or whole stage.

    Args:
        times_ms: float64 ms above 0, indexed by case, any order; NaN is left out. Solves or
            drills, never both; misfires left out where one-look times are meant.
        cases: Cases wanted beside those that were timed.
        turns: Turns of each case's book algorithm; used from ``REGRESSION_FROM`` timed cases on.
        expected_ms: What is expected of each case before its own times are looked at; pooled is
            then the departure from it.

    Raises:
        ValueError: A time is not above 0, or a case is missing from ``turns`` or ``expected_ms``.
    """
    known = times_ms.dropna().astype("float64")
    if (known <= 0).any():
        raise ValueError(f"times_ms has {known.min()} ms: every time must be above 0")
    logs = pd.Series(np.log(known.to_numpy() / 1000), index=known.index.astype(str))
    names = tuple(sorted({*map(str, logs.index), *cases}))
    logs = logs.sort_values()  # sums then hang on no order of sightings
    groups = logs.groupby(level=0)
    n = np.asarray(groups.size().reindex(names, fill_value=0), dtype=float)
    mean = np.asarray(groups.mean().reindex(names, fill_value=0.0), dtype=float)
    within = logs.to_numpy() - groups.transform("mean").to_numpy()
    offset = np.zeros(len(names))
    if expected_ms is not None:
        offset = np.log([_of(expected_ms, name, "expected_ms") / 1000 for name in names])
    return CaseSums(
        names, n, mean, float(within @ within), case_design(names, n, turns), np.asarray(offset)
    )


def _of(values: Mapping[str, float], case: str, what: str) -> float:
    if case not in values:
        raise ValueError(f"{what} has no entry for case {case!r}: give one for every case")
    return float(values[case])


def case_design(names: tuple[str, ...], n: Floats, turns: Mapping[str, int] | None) -> Floats:
    """The design of `CaseSums`: ln turns beside the 1 where enough cases were timed to follow them.

    Raises:
        ValueError: A case is missing from ``turns``.
    """
    ones = np.ones((len(names), 1))
    if turns is None or np.count_nonzero(n) < REGRESSION_FROM:
        return ones
    log_turns = np.log([_of(turns, name, "turns") for name in names])
    timed = log_turns[n > 0]
    if np.ptp(timed) == 0:
        return ones
    return np.column_stack([ones, log_turns - timed.mean()])


@dataclass(frozen=True, slots=True, eq=False)
class Conditional:
    """What the model says at each of some pairs of tau and sigma; shapes (pairs, ...).

    Attributes:
        means: Centre of each case, ln seconds.
        sds: Its standard deviation.
        weights: ``B = tau^2 / (tau^2 + sigma^2 / n)``: how far a case stands on its own feet.
        log_likelihood: Restricted log likelihood of the pair, up to a constant.
        centre: The fitted centre where the design has one column: mean of mu.
    """

    means: Floats
    sds: Floats
    weights: Floats
    log_likelihood: Floats
    centre: Floats


def conditional(sums: CaseSums, tau: Floats, sigma: Floats) -> Conditional:
    """Centres of all cases given tau and sigma, the mean's own doubt included.

    Centre ``mu + B (mean - mu)``, variance ``tau^2 (1 - B) + (1 - B)^2 Var(mu)``.

    Args:
        sums: At least one timed case.
        tau: At least 0; shape (pairs,).
        sigma: Above 0; shape (pairs,).
    """
    n, x = sums.n, sums.design
    observed = sums.mean - sums.offset
    precision = n / (n * tau[:, None] ** 2 + sigma[:, None] ** 2)
    information = np.einsum("gk,kp,kq->gpq", precision, x, x)
    moment = np.einsum("gk,kp,k->gp", precision, x, observed)
    inverse = np.linalg.inv(information)
    coefficients = np.einsum("gpq,gq->gp", inverse, moment)
    fitted = coefficients @ x.T
    weights = tau[:, None] ** 2 * precision
    means = fitted + weights * (observed - fitted) + sums.offset
    doubt = np.einsum("kp,gpq,kq->gk", x, inverse, x)
    variance = tau[:, None] ** 2 * (1 - weights) + (1 - weights) ** 2 * doubt
    timed = n > 0
    degrees = n.sum() - np.count_nonzero(timed)
    log_likelihood = (
        -degrees * np.log(sigma)
        - sums.square_sum / (2 * sigma**2)
        + 0.5 * np.log(precision[:, timed]).sum(axis=1)
        - 0.5 * (precision * (observed - fitted) ** 2).sum(axis=1)
        - 0.5 * np.linalg.slogdet(information)[1]
    )
    return Conditional(means, np.sqrt(variance), weights, log_likelihood, coefficients[:, 0])


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
