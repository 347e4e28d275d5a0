"""The share of solves whose last layer goes in one look, weighted by how often cases come up.

Knows the algorithm or does not: the two-state view of a case's sightings.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from itertools import product
from math import exp, log
from statistics import median
from typing import Final

import numpy as np
import pandas as pd
from scipy.optimize import minimize
from scipy.special import betaln
from scipy.stats import beta as beta_distribution

from logs.stats.distributions import Floats
from logs.stats.grid import LIKELY
from logs.stats.rates import DEFAULT_TEST


def knowing(
    hits: Iterable[bool],
    *,
    start: float = 0.10,
    learn: float = 0.15,
    slip: float = 0.10,
    guess: float = 0.02,
    forget: float = 0.0,
) -> tuple[float, ...]:
    """The chance that the member knows the case after each sighting, before learning from it.

    Source: knowledge tracing, Corbett and Anderson 1995.

    Args:
        hits: Whether each sighting went in one look, oldest first.
        start: The chance of knowing it before the first sighting.
        learn: The chance of learning it between two sightings; 0 makes this Bayes' rule alone.
        slip: The chance that a known case does not go in one look.
        guess: The chance that an unknown one does; small, as no algorithm is executed by luck.
        forget: The chance of forgetting it between two sightings.

    Raises:
        ValueError: A chance is not in 0..1.
    """
    chances = {"start": start, "learn": learn, "slip": slip, "guess": guess, "forget": forget}
    for name, value in chances.items():
        if not 0 <= value <= 1:
            raise ValueError(f"{name} is {value}: it must lie between 0 and 1")
    after = []
    knows = start
    for hit in hits:
        if_known = knows * (1 - slip if hit else slip)
        if_not = (1 - knows) * (guess if hit else 1 - guess)
        total = if_known + if_not
        knows = if_known / total if total else knows
        after.append(knows)
        knows += (1 - knows) * learn - knows * forget
    return tuple(after)


BAND = 0.80


FITTED_FROM = 8
"""With fewer cases met the prior is Beta(1/2, 1/2)."""


RATE_COLUMNS: Final = ("n_hits", "n", "rate", "sd", "low", "high")


_LIMITS = (0.05, 50.0)


@dataclass(frozen=True, slots=True)
class RatePrior:
    """The Beta distribution of a member's rates over the cases; below 1 means known or not."""

    alpha: float
    beta: float


JEFFREYS: Final = RatePrior(0.5, 0.5)


def rate_prior(counts: pd.DataFrame) -> RatePrior:
    """The prior that makes the member's own counts most likely.

    Each parameter stays between 0.05 and 50: counts that are all alike would send it to 0 or to
    infinity, and no number of sightings could then move a rate.

    Args:
        counts: int64 ``n_hits`` and ``n``, one row a case, any order; rows with no sighting are
            left out.
    """
    met = counts[counts["n"] > 0]
    if len(met) < FITTED_FROM:
        return JEFFREYS
    met = met.sort_values(["n", "n_hits"])
    hits, n = met["n_hits"].to_numpy(), met["n"].to_numpy()

    def loss(logs: np.ndarray) -> float:
        alpha, beta = np.exp(logs)
        return -float((betaln(alpha + hits, beta + n - hits) - betaln(alpha, beta)).sum())

    bounds = [tuple(map(float, np.log(_LIMITS)))] * 2
    start = np.log([0.5, 0.5])
    found = minimize(loss, start, method="L-BFGS-B", bounds=bounds, options={"ftol": 1e-14})
    alpha, beta = np.exp(found.x)
    return RatePrior(float(alpha), float(beta))


def one_look_rates(counts: pd.DataFrame, *, prior: RatePrior, band: float = BAND) -> pd.DataFrame:
    """The rate of each case with its band.

    Args:
        counts: int64 ``n_hits`` (sightings that went in one look) and ``n`` (all sightings,
            misfires included), one row a case. With no sighting the rate is the prior's.
        prior: As from `rate_prior`.
        band: How often such a band holds the truth, between 0 and 1.

    Returns:
        ``RATE_COLUMNS`` on the index of ``counts``: posterior mean, sd and equal-tailed band, all
        0..1.

    Raises:
        ValueError: Hits and sightings do not fit together.
    """
    hits, n = counts["n_hits"].to_numpy(), counts["n"].to_numpy()
    if ((hits < 0) | (hits > n)).any():
        raise ValueError("n_hits must lie between 0 and n for every case")
    posterior = beta_distribution(prior.alpha + hits, prior.beta + n - hits)
    return pd.DataFrame(
        {
            "n_hits": hits,
            "n": n,
            "rate": posterior.mean(),
            "sd": posterior.std(),
            "low": posterior.ppf((1 - band) / 2),
            "high": posterior.ppf((1 + band) / 2),
        },
        index=counts.index,
        columns=list(RATE_COLUMNS),
    )


RECENT = 24
"""So many of the newest sightings of a case tell its standing."""


HIT, MISS = "1", "0"


LEARN = 0.12


FORGET = 0.02


FLUENT_FROM = 3
"""So many timed one-look sightings must stand behind "fluent"."""


TARGET_CASES = 3
"""From so many timed one-look cases on a member has a pace to set a target by."""


TARGET_FACTOR = 1.25
"""The target where the club has set none: so many times the member's usual recognition."""


class Standing(StrEnum):
    """Where a member stands with a case, from their solves alone; nobody ticks it."""

    UNMET = "unmet"
    TWO_LOOK = "two-look"
    ONE_LOOK = "one-look"
    FLUENT = "fluent"


@lru_cache(maxsize=1 << 16)
def chance_known(recent: str) -> float:
    """The chance, 0..1, that the case now goes in one look as a rule.

    "As a rule" is what homework calls learnt (`logs.stats.rates.DEFAULT_TEST`): 85 times in 100,
    against 30 where it is not. So one hit after many misses is no rule; two in a row make it likely.

    Args:
        recent: The newest looked-at sightings, oldest first: ``"1"`` for one that went in one
            look, ``"0"`` for one that did not, misfires included. Of none: 0.
    """
    if not recent:
        return 0.0
    return knowing(
        (look == HIT for look in recent),
        start=0.5,
        learn=LEARN,
        slip=1 - DEFAULT_TEST.learnt,
        guess=DEFAULT_TEST.not_learnt,
        forget=FORGET,
    )[-1]


def standing(
    recent: str,
    *,
    n_timed: int = 0,
    recognition_ms: float | None = None,
    target_ms: float | None = None,
) -> Standing:
    """The standing of one case.

    Unmet: no look was ever made at it in a solve. One-look: it is at least likely (0.66) that it
    goes in one look. Fluent: one-look, and the typical recognition of at least ``FLUENT_FROM`` timed
    one-look sightings is within the target.

    Args:
        recent: As for `chance_known`.
        n_timed: Timed one-look sightings.
        recognition_ms: Their geometric mean recognition; None without one.
        target_ms: What counts as fluent for this member; None while they have no target.
    """
    if not recent:
        return Standing.UNMET
    if chance_known(recent) < LIKELY:
        return Standing.TWO_LOOK
    is_fluent = (
        n_timed >= FLUENT_FROM
        and recognition_ms is not None
        and target_ms is not None
        and recognition_ms <= target_ms
    )
    return Standing.FLUENT if is_fluent else Standing.ONE_LOOK


def own_target_ms(mean_logs: list[float]) -> float | None:
    """The recognition that counts as fluent for a member whose club has set them no target.

    ``TARGET_FACTOR`` times the median over their one-look cases of one stage: what is not slow for
    their own speed. None below ``TARGET_CASES`` cases.

    Args:
        mean_logs: Mean ln(ms) of recognition of each case with ``FLUENT_FROM`` timed one-look
            sightings or more.
    """
    if len(mean_logs) < TARGET_CASES:
        return None
    return TARGET_FACTOR * exp(median(mean_logs))


COVERAGE_LEVEL = 0.80


@dataclass(frozen=True, slots=True)
class Coverage:
    """Three parts of all solves that add up to 1, never to be shown apart.

    Attributes:
        covered: Share that goes in one look, the skip included, 0..1.
        low: Lower end of its band.
        high: Upper end.
        not_covered: Share held by met cases that does not go in one look.
        never_met: Share held by cases never met: no guess is made about them.
        sd: Standard deviation of ``covered``.
        n_cases_met: Cases met at least once.
        n: Sightings behind the figure.
    """

    covered: float
    low: float
    high: float
    not_covered: float
    never_met: float
    sd: float
    n_cases_met: int
    n: int


def coverage(
    counts: pd.DataFrame,
    *,
    chances: Mapping[str, float],
    prior: RatePrior,
    recent: Mapping[str, str] | None = None,
    band: float = COVERAGE_LEVEL,
) -> Coverage:
    """The coverage of one stage.

    Weights are the theory's chances, not the member's counts: less noise, and members compare.
    The band is that of a Beta distribution with the same mean and variance between "skips alone"
    and "all of the met cases".

    Whoever learns cases does them in one look now and did not before, which counts alone cannot
    tell. With ``recent`` the figure is that of now: two models, rates that stay as they are and
    cases that are learnt between one sighting and the next, averaged by how likely each makes what
    was seen (Bayesian model averaging: Hoeting and others 1999).

    Args:
        counts: int64 ``n_hits`` and ``n`` indexed by case; cases without a row were never met.
        chances: Chance of each case in one solve; what they leave of 1 is the skip.
        prior: As from `rate_prior`.
        recent: The sightings of ``counts`` one by one, as for `chance_known`; None where the rates
            are known to stay as they are.
        band: How often such a band holds the truth, between 0 and 1.

    Raises:
        ValueError: The chances add up to more than 1, or ``counts`` has a case without one.
    """
    skip = 1 - sum(chances.values())
    if skip < -1e-9:
        raise ValueError(f"chances add up to {1 - skip}: together they must be at most 1")
    met = counts[counts["n"] > 0].sort_index()
    unknown = [case for case in met.index if case not in chances]
    if unknown:
        raise ValueError(f"counts has case {unknown[0]!r}, which has no chance")
    weights = np.array([chances[case] for case in met.index], dtype=float)
    hits, n = met["n_hits"].to_numpy(), met["n"].to_numpy()
    posterior = beta_distribution(prior.alpha + hits, prior.beta + n - hits)
    whole = float(weights.sum())
    covered = float(weights @ posterior.mean()) if len(met) else 0.0
    variance = float(weights**2 @ posterior.var()) if len(met) else 0.0
    if recent is not None and len(met):
        evidence = betaln(prior.alpha + hits, prior.beta + n - hits) - betaln(
            prior.alpha, prior.beta
        )
        total, mean = prior.alpha + prior.beta, prior.alpha / (prior.alpha + prior.beta)
        # What the prior's mean is in doubt by (of a mean of beta-binomials), shared by all cases.
        doubt = mean * (1 - mean) / float((n * (total + 1) / (total + n)).sum())
        shared = float(weights @ (total / (total + n))) ** 2 * doubt
        steady = (float(evidence.sum()) - log(len(met)), covered, variance + shared)
        covered, variance = _averaged(steady, [recent[str(case)] for case in met.index], weights)
    not_covered, sd = whole - covered, float(np.sqrt(variance))
    low, high = _band(covered, sd, whole, band)
    return Coverage(
        covered=skip + covered,
        low=skip + low,
        high=skip + high,
        not_covered=not_covered,
        never_met=float(sum(chance for case, chance in chances.items() if case not in met.index)),
        sd=sd,
        n_cases_met=len(met),
        n=int(n.sum()),
    )


_LEARNING: Final = np.array(
    list(
        product(
            (0.03, 0.30, 0.60, 0.95),  # known at the first of the sightings
            (0.0, 0.04, 0.12, 0.30),  # learnt between two sightings
            (0.65, 0.78, 0.85, 0.90, 0.94, 0.98),  # one-look rate of a known case
            (0.01, 0.03, 0.08, 0.25),  # and of one that is not
        )
    )
).T
"""A grid over what is not known of a member who learns."""


def _averaged(
    steady: tuple[float, float, float], recent: Sequence[str], weights: Floats
) -> tuple[float, float]:
    """Mean and variance of what is covered, over steady rates and every node of learning.

    Args:
        steady: Log evidence of rates that stay as they are, less what their fit to the log costs
            (Schwarz 1978), and mean and variance by them.
        recent: The sightings of each case, oldest first.
        weights: Of the cases.
    """
    known, learn, rate_known, rate_not = _LEARNING[:, :, None]
    knows = np.repeat(known, len(recent), axis=1)
    evidence = np.zeros(knows.shape)
    for place in range(max(map(len, recent))):  # what was learnt since the last nobody has seen
        is_there = np.array([place < len(looks) for looks in recent])
        is_hit = np.array([looks[place : place + 1] == HIT for looks in recent])
        if_known = knows * np.where(is_hit, rate_known, 1 - rate_known)
        total = if_known + (1 - knows) * np.where(is_hit, rate_not, 1 - rate_not)
        evidence += np.where(is_there, np.log(total), 0.0)
        after = if_known / total
        is_last = np.array([place + 1 == len(looks) for looks in recent])
        knows = np.where(is_there, after + (1 - after) * np.where(is_last, 0.0, learn), knows)
    means = (knows * rate_known + (1 - knows) * rate_not) @ weights
    variances = (knows * (1 - knows) * (rate_known - rate_not) ** 2) @ weights**2
    log_evidence = np.append(evidence.sum(axis=1) - log(known.size), steady[0])
    shares = np.exp(log_evidence - log_evidence.max())
    shares /= shares.sum()
    means, variances = np.append(means, steady[1]), np.append(variances, steady[2])
    mean = float(shares @ means)
    return mean, float(shares @ (variances + (means - mean) ** 2))


def _band(covered: float, sd: float, whole: float, band: float) -> tuple[float, float]:
    if sd == 0 or whole == 0:
        return covered, covered
    mean = covered / whole
    size = mean * (1 - mean) / (sd / whole) ** 2 - 1
    ends = beta_distribution.ppf([(1 - band) / 2, (1 + band) / 2], mean * size, (1 - mean) * size)
    return whole * float(ends[0]), whole * float(ends[1])
