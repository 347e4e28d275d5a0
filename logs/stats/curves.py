"""Learning curves of one member on one case; never of a club, as averaging makes power laws.

Sources: Heathcote, Brown and Mewhort 2000; Murre and Chessa 2011; AICc and averaging over models:
Burnham and Anderson 2002.

Whether a case still gets faster: a plateau is a claim of sameness and must be shown.

Two one-sided tests: Schuirmann 1987; Lakens 2017. A wide interval about zero is no plateau.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Final

import numpy as np
import pandas as pd
from scipy.optimize import least_squares
from scipy.special import ndtri
from scipy.stats import linregress
from scipy.stats import t as student

from logs.stats.distributions import Floats

FITTED_FROM = 12


BAND = 0.80


_RATES = (0.02, 0.1, 0.3, 1.0)


_LEAST = 1e-9


def _exponential(p: Floats, n: Floats) -> Floats:
    return np.asarray(p[0] + p[1] * np.exp(-p[2] * n))


def _power(p: Floats, n: Floats) -> Floats:
    return np.asarray(p[0] * n ** -p[1])


def _power_to_floor(p: Floats, n: Floats) -> Floats:
    return np.asarray(p[0] + p[1] * n ** -p[2])


def _apex(p: Floats, n: Floats) -> Floats:
    return np.asarray(p[0] + p[1] * np.exp(-p[2] * n) * n ** -p[3])


def _constant(p: Floats, n: Floats) -> Floats:
    return np.full_like(n, p[0])


@dataclass(frozen=True, slots=True)
class _Form:
    """A curve; ``sizes`` of its first parameters are times, the rest are rates."""

    shape: Callable[[Floats, Floats], Floats]
    sizes: int
    rates: int


FORMS: Final[Mapping[str, _Form]] = {
    "exponential": _Form(_exponential, 2, 1),
    "power": _Form(_power, 1, 1),
    "apex": _Form(_apex, 2, 2),
    "power_to_floor": _Form(_power_to_floor, 2, 1),
    "constant": _Form(_constant, 1, 0),
}
"""Floor + gain e^(-rate N); gain N^(-rate); floor + gain e^(-rate N) N^(-power); floor + gain
N^(-rate); one time."""


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """A fitted curve.

    Attributes:
        form: One of `FORMS`.
        parameters: In the order of the form; times in ms.
        square_sum: Residual sum of squares of log times.
        aicc: Corrected Akaike criterion; the noise counts as a parameter.
        weight: Akaike weight among the fitted forms, adding up to 1.
        covariance: Of the parameters, times in ms.
    """

    form: str
    parameters: tuple[float, ...]
    square_sum: float
    aicc: float
    weight: float
    covariance: Floats

    def at(self, sightings: Sequence[float]) -> Floats:
        """Times in ms at these sightings, the first being 1."""
        return FORMS[self.form].shape(np.array(self.parameters), np.asarray(sightings, dtype=float))

    def log_variance(self, sightings: Sequence[float]) -> Floats:
        """Variance of the log of the curve at these sightings, by the delta method."""
        slopes = _log_slopes(FORMS[self.form], np.array(self.parameters), sightings)
        return np.asarray(np.einsum("np,pq,nq->n", slopes, self.covariance, slopes))


def learning_curves(times_ms: Sequence[float]) -> tuple[Curve, ...]:
    """All forms fitted by least squares on logs, the likeliest first.

    Empty below ``FITTED_FROM`` sightings, where no curve should be drawn, and when every time is
    the same, where there is none.

    Args:
        times_ms: Times above 0 of one case in the order of its sightings, no NaN: sightings are
            counted, not days.

    Raises:
        ValueError: A time is not above 0.
    """
    times = np.asarray(times_ms, dtype=float)
    if times.size and not (times > 0).all():
        raise ValueError("times_ms must all be above 0: leave out sightings without a time")
    if times.size < FITTED_FROM or np.ptp(times) == 0:
        return ()
    unit = float(np.exp(np.log(np.sort(times)).mean()))
    fits = {name: _fit(form, times / unit) for name, form in FORMS.items()}
    scores = {name: _aicc(rss, times.size, len(p) + 1) for name, (p, rss, _) in fits.items()}
    best = min(scores.values())
    total = sum(np.exp((best - score) / 2) for score in scores.values())
    curves = []
    for name, (p, rss, covariance) in fits.items():
        scale = np.where(np.arange(len(p)) < FORMS[name].sizes, unit, 1.0)
        curves.append(
            Curve(
                form=name,
                parameters=tuple(map(float, p * scale)),
                square_sum=rss,
                aicc=scores[name],
                weight=float(np.exp((best - scores[name]) / 2) / total),
                covariance=covariance * np.outer(scale, scale),
            )
        )
    return tuple(sorted(curves, key=lambda curve: curve.aicc))


def _aicc(rss: float, n: int, k: int) -> float:
    return float(n * np.log(rss / n) + 2 * k + 2 * k * (k + 1) / (n - k - 1))


def _fit(form: _Form, times: Floats) -> tuple[Floats, float, Floats]:
    """Parameters, residual sum of squares and covariance; times near 1."""
    n = np.arange(1, times.size + 1, dtype=float)
    logs = np.log(times)

    def residuals(p: Floats) -> Floats:
        return np.log(np.maximum(form.shape(p, n), _LEAST)) - logs

    tail = float(np.exp(logs[-times.size // 3 :].mean()))
    sizes = [tail, max(float(times[0]) - tail, 0.1)][: form.sizes]
    starts = [[*sizes, *[rate] * form.rates] for rate in _RATES[: 1 if not form.rates else None]]
    found = [
        least_squares(residuals, start, bounds=(_LEAST, np.inf), xtol=1e-12, ftol=1e-12, gtol=1e-12)
        for start in starts
    ]
    best = min(found, key=lambda one: float(one.cost))
    rss = float(2 * best.cost)
    degrees = times.size - best.x.size
    covariance = np.linalg.pinv(best.jac.T @ best.jac, hermitian=True) * rss / degrees
    return np.asarray(best.x, dtype=float), rss, np.asarray(covariance, dtype=float)


def _log_slopes(form: _Form, p: Floats, sightings: Sequence[float]) -> Floats:
    n = np.asarray(sightings, dtype=float)
    columns = []
    for i in range(p.size):
        step = 1e-6 * max(abs(p[i]), 1e-3)
        ahead, behind = p.copy(), p.copy()
        ahead[i] += step
        behind[i] = max(behind[i] - step, 0.0)
        rise = np.log(form.shape(ahead, n)) - np.log(form.shape(behind, n))
        columns.append(rise / (ahead[i] - behind[i]))
    return np.column_stack(columns)


def curve_band(
    curves: Sequence[Curve], *, sightings: Sequence[float], band: float = BAND
) -> pd.DataFrame:
    """The curve averaged over the forms by their weights, with its band.

    The band holds the doubt about the form too (Burnham and Anderson 2002, 4.3).

    Args:
        curves: As from `learning_curves`; of none there is no row.
        sightings: Where, the first sighting being 1.
        band: How often such a band holds the truth, between 0 and 1.

    Returns:
        float64 ``centre_ms``, ``low_ms``, ``high_ms`` indexed by sighting.
    """
    columns = ["centre_ms", "low_ms", "high_ms"]
    if not curves:
        return pd.DataFrame(columns=columns, dtype="float64")
    weights = np.array([curve.weight for curve in curves])
    weights /= weights.sum()
    logs = np.array([np.log(curve.at(sightings)) for curve in curves])
    centre = weights @ logs
    variances = np.array([curve.log_variance(sightings) for curve in curves])
    sd = weights @ np.sqrt(variances + (logs - centre) ** 2)
    reach = float(ndtri((1 + band) / 2)) * sd
    values = np.exp(np.column_stack([centre, centre - reach, centre + reach]))
    return pd.DataFrame(values, index=pd.Index(list(sightings), name="sighting"), columns=columns)


MARGIN = 0.03


TREND_LEVEL = 0.90


JUDGED_FROM = 8


PER = 10


class TrendState(StrEnum):
    """What the last sightings of a case say."""

    IMPROVING = "improving"
    PLATEAU = "plateau"
    SLOWING = "slowing"
    CANNOT_TELL = "cannot_tell"


@dataclass(frozen=True, slots=True)
class Trend:
    """Change of a case's times over its last sightings.

    Attributes:
        n: Sightings judged.
        low: Lower end of the 90 % interval of the share by which times change in ten sightings;
            below 0 is faster.
        high: Upper end.
        state: The verdict.
    """

    n: int
    low: float
    high: float
    state: TrendState


def trend(times_ms: Sequence[float], *, margin: float = MARGIN) -> Trend | None:
    """The trend, or None below eight sightings.

    Before it is judged, changes of algorithm or cube and the day homework was set belong on the
    time axis: a dip can be a new method (Gray and Lindstedt 2017).

    Args:
        times_ms: Times above 0 of the sightings to judge, in their order, no NaN.
        margin: A change within this share in ten sightings is none, above 0.

    Raises:
        ValueError: A time or ``margin`` is not above 0.
    """
    times = np.asarray(times_ms, dtype=float)
    if margin <= 0 or not (times > 0).all():
        raise ValueError("times_ms and margin must be above 0")
    if times.size < JUDGED_FROM:
        return None
    order, logs = np.arange(times.size, dtype=float), np.log(times)
    line = linregress(order, logs)
    se = float(line.stderr) if np.ptp(logs) > 0 else 0.0  # else 0 / 0
    reach = float(student.ppf((1 + TREND_LEVEL) / 2, times.size - 2)) * se
    slope = float(line.slope)
    low, high = (float(np.expm1(PER * end)) for end in (slope - reach, slope + reach))
    return Trend(
        n=times.size,
        low=low,
        high=high,
        state=_state(low, high, margin),
    )


def _state(low: float, high: float, margin: float) -> TrendState:
    if -margin < low and high < margin:
        return TrendState.PLATEAU
    if high < 0:
        return TrendState.IMPROVING
    return TrendState.SLOWING if low > 0 else TrendState.CANNOT_TELL


JUDGED = 12
"""So many of the latest sightings are judged, as in worked example W5b."""


@dataclass(frozen=True, slots=True)
class CaseTrend:
    """The trend of a case.

    Attributes:
        case: The case.
        trend: Of its latest timed one-look sightings, whole stage.
        since: When the first of them was; None where that has no date.
    """

    case: str
    trend: Trend
    since: datetime | None


def case_trends(sightings: pd.DataFrame, *, stage: str) -> list[CaseTrend]:
    """The trends of the cases with enough timed one-look sightings to judge, by case.

    Args:
        sightings: ``SIGHTING_COLUMNS`` frame of solves in the order of time.
        stage: ``"oll"`` or ``"pll"``.
    """
    timed = sightings[
        (sightings["stage"] == stage)
        & sightings["is_one_look"]
        & (sightings["recognition_ms"] > 0)
        & (sightings["execution_ms"] > 0)
    ]
    found = []
    for case, group in timed.groupby("case"):
        latest = group.tail(JUDGED)
        judged = trend((latest["recognition_ms"] + latest["execution_ms"]).tolist())
        if judged is not None:
            first = latest["done_at"].iloc[0]
            since = None if pd.isna(first) else first.to_pydatetime()
            found.append(CaseTrend(str(case), judged, since))
    return found
