"""Whether a case changed since a day: done the same way, net of the rest, and safe to look at often.

Before and since are compared as they were done: one look with one look, two looks with two. Each
side is the mean time of a sighting, its share of one look among what is unknown, so that a case that
happened to go in one look more often is not called faster for that. Cases before lean on the
member's other cases done the same way (`logs.stats.grid`), as homework picks slow ones (Barnett, van
der Pols and Dobson 2005). What the other cases did meanwhile, each done the same way on both sides,
is taken off.

The ratio and its range take every size of change as equally likely. The chances that go into words
do not: a fifth of the belief is on "no change", the rest on changes of the usual size (spike and
slab: Mitchell and Beauchamp 1988). A claim then asks for odds that data without a change seldom
reach however often one looks (Ville 1939; Robbins 1970); how seldom is tried in ``tests.worlds``.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import ceil, exp
from typing import Final

import numpy as np
import pandas as pd
from scipy.special import ndtri
from scipy.stats import fisher_exact, norm

from logs.stats import Range
from logs.stats.distributions import Floats
from logs.stats.grid import pooled_times
from logs.stats.pooling import case_sums
from logs.stats.rates import probability_larger_rate

LEVEL = 0.80


USUAL_CHANGE = 0.30
"""sd of changes of log time, where there is one."""


NO_CHANGE = 0.2
"""Belief in no change at all before a time is seen."""


RATE_PRIOR = 0.25
"""Both parameters of the Beta prior of a one-look rate (Jeffreys)."""


N_DRAWS = 4_000


SEED: Final = 20_261


WAYS: Final = (True, False)
"""In one look, or in more."""


@dataclass(frozen=True, slots=True)
class CaseEffect:
    """The mean time of a sighting since, over that before.

    Attributes:
        n_before: Timed sightings before.
        n_since: Timed sightings since.
        ratio: Time since by time before, net of the control.
        range: Where that ratio lies.
        p_faster: Chance that the case got faster, some of the belief being on no change at all.
        p_slower: Chance that it got slower; what is left is no change.
        p_tenth_faster: Chance that it takes at most 90 % of what it took.
        control_ratio: What the other cases did over the same time, as a ratio.
        n_control: How many of them were timed on both sides, done the same way.
        sigma: sd of log times within a case done the same way.
    """

    n_before: int
    n_since: int
    ratio: float
    range: Range
    p_faster: float
    p_slower: float
    p_tenth_faster: float
    control_ratio: float
    n_control: int
    sigma: float


@dataclass(frozen=True, slots=True)
class _Way:
    """A case done one way: draws of its log times on both sides, and what the others did."""

    before: Floats
    since: Floats
    control_mean: float
    control_precision: float
    n_control: int
    sigma: float


def case_effect(
    before: pd.DataFrame, since: pd.DataFrame, *, case: str, asked: Collection[str] = ()
) -> CaseEffect | None:
    """The change of one case, or None where either side has no time of it.

    Args:
        before: Sightings of one stage before the day, looked at and no skips, in any order: columns
            ``case``, ``is_one_look`` and ``stage_ms``, NaN without a time.
        since: Those since.
        case: The case.
        asked: Cases that control nothing, such as those of other homework.
    """
    timed_before, timed_since = _timed(before), _timed(since)
    n_before, n_since = (int((side["case"] == case).sum()) for side in (timed_before, timed_since))
    if not n_before or not n_since:
        return None
    rng = np.random.default_rng(SEED)
    shares = [_rate_draws(side, case, rng) for side in (before, since)]
    one, more = (_way(timed_before, timed_since, case, asked, way, rng) for way in WAYS)
    was = _mean_log(shares[0], one.before, more.before)
    now = _mean_log(shares[1], one.since, more.since)
    control, variance, n_control = _control((one, more))
    change = now - was - control - np.sqrt(variance) * rng.standard_normal(N_DRAWS)
    low, middle, high = np.quantile(change, ((1 - LEVEL) / 2, 0.5, (1 + LEVEL) / 2))
    p_faster, p_slower, p_tenth = _chances(float(change.mean()), float(change.std()))
    return CaseEffect(
        n_before=n_before,
        n_since=n_since,
        ratio=exp(float(middle)),
        range=Range(low=exp(float(low)), high=exp(float(high)), level=LEVEL),
        p_faster=p_faster,
        p_slower=p_slower,
        p_tenth_faster=p_tenth,
        control_ratio=exp(control),
        n_control=n_control,
        sigma=max(one.sigma, more.sigma),
    )


def _timed(side: pd.DataFrame) -> pd.DataFrame:
    kept = side[side["stage_ms"].notna()]
    return kept.assign(log=np.log(kept["stage_ms"].to_numpy(dtype=float) / 1000)).sort_values(
        ["case", "is_one_look", "log"], ignore_index=True
    )


def _rate_draws(side: pd.DataFrame, case: str, rng: np.random.Generator) -> Floats:
    """The case's share of sightings in one look, as it might be."""
    looks = side.loc[side["case"] == case, "is_one_look"]
    n_hits = int(looks.sum())
    return rng.beta(RATE_PRIOR + n_hits, RATE_PRIOR + len(looks) - n_hits, N_DRAWS)


def _way(
    before: pd.DataFrame,
    since: pd.DataFrame,
    case: str,
    asked: Collection[str],
    is_one_look: bool,
    rng: np.random.Generator,
) -> _Way:
    """The case done one way; before, where nothing at all was done so, as it was done the other."""
    was, now = (side[side["is_one_look"] == is_one_look] for side in (before, since))
    pool = before if was.empty else was
    pooled = pooled_times(case_sums(pool.set_index("case")["stage_ms"], cases=[case]))
    assert pooled is not None  # there is a time
    column = pooled.cases.index(case)
    mixture, sigmas = pooled.log_times, pooled.sigma
    node = rng.choice(len(mixture.weights), N_DRAWS, p=mixture.weights)
    typical = mixture.means[node, column] + mixture.sds[node, column] * rng.standard_normal(N_DRAWS)
    own = now.loc[now["case"] == case, "log"].to_numpy(dtype=float)
    later = typical  # where there is none since, it is as it was
    if own.size:
        sigma = sigmas[node]
        later = own.mean() + sigma / np.sqrt(own.size) * rng.standard_normal(N_DRAWS)
    level = sigmas**2 / 2
    sigma_mean = float(mixture.weights @ sigmas)
    mean, precision, n = _control_of(was, now, {case, *asked}, sigma_mean)
    return _Way(typical + level[node], later + level[node], mean, precision, n, sigma_mean)


def _mean_log(share: Floats, one: Floats, more: Floats) -> Floats:
    """Log of the mean time of a sighting, by the share of one look."""
    return np.asarray(np.log(share * np.exp(one) + (1 - share) * np.exp(more)), dtype=float)


def _control_of(
    was: pd.DataFrame, now: pd.DataFrame, left_out: Collection[str], sigma: float
) -> tuple[float, float, int]:
    """Mean change of the other cases' log times by their precision, its precision, how many."""
    sides = [side.groupby("case")["log"].agg(["mean", "size"]) for side in (was, now)]
    both = sides[0].merge(sides[1], left_index=True, right_index=True, suffixes=("_was", "_now"))
    both = both[[name not in left_out for name in both.index]]
    if both.empty:
        return 0.0, 0.0, 0
    precision = 1 / (sigma**2 * (1 / both["size_was"] + 1 / both["size_now"]))
    total = float(precision.sum())
    return (
        float((precision * (both["mean_now"] - both["mean_was"])).sum() / total),
        total,
        len(both),
    )


def _control(ways: Collection[_Way]) -> tuple[float, float, int]:
    """The general change over both ways, its variance, and the cases behind it; 0 of none."""
    total = sum(way.control_precision for way in ways)
    if not total:
        return 0.0, 0.0, 0
    mean = sum(way.control_precision * way.control_mean for way in ways) / total
    return mean, 1 / total, sum(way.n_control for way in ways)


def _chances(mean: float, sd: float) -> tuple[float, float, float]:
    """The chances of faster, slower and a tenth faster, from a normal likelihood of the change."""
    whole = float(np.hypot(sd, USUAL_CHANGE))
    spike = NO_CHANGE * norm.pdf(mean, 0, sd)
    slab = (1 - NO_CHANGE) * norm.pdf(mean, 0, whole)
    shrink = (USUAL_CHANGE / whole) ** 2
    moved, spread = shrink * mean, sd * np.sqrt(shrink)
    p_change = slab / (spike + slab) if spike + slab > 0 else 1.0
    below, tenth = (float(norm.cdf(end, moved, spread)) for end in (0.0, np.log(0.9)))
    return float(p_change * below), float(p_change * (1 - below)), float(p_change * tenth)


def sightings_for_power(
    faster_share: float, *, sigma: float, power: float = 0.80, alpha: float = 0.05
) -> int:
    """Sightings on each side that show a case ``faster_share`` faster, by a one-sided test.

    Below so many say "cannot tell yet", never "no progress". Normal approximation (textbook).

    Args:
        faster_share: Share of the time saved, between 0 and 1.
        sigma: sd of log times within a case.
        power: Chance to see it.
        alpha: Chance to see what is not there.

    Raises:
        ValueError: ``faster_share`` is not between 0 and 1.
    """
    if not 0 < faster_share < 1:
        raise ValueError(f"faster_share is {faster_share}: it must lie between 0 and 1")
    reach = float(ndtri(power) + ndtri(1 - alpha))
    return ceil(2 * (sigma * reach / float(np.log1p(-faster_share))) ** 2)


@dataclass(frozen=True, slots=True)
class RateChange:
    """One-look rate before and after.

    Attributes:
        p: One-sided Fisher p; for one look at one time.
        p_larger: Chance that the rate rose, from Beta(1/2, 1/2) on each side.
    """

    p: float
    p_larger: float


def rate_change(before: tuple[int, int], after: tuple[int, int]) -> RateChange:
    """The change of a one-look rate.

    Args:
        before: Hits and sightings before.
        after: Hits and sightings after.

    Raises:
        ValueError: Hits and sightings do not fit together.
    """
    for n_hits, n in (before, after):
        if not 0 <= n_hits <= n:
            raise ValueError(f"{n_hits} hits of {n}: they must lie between 0 and {n}")
    rows: Sequence[Sequence[int]] = [
        [after[0], after[1] - after[0]],
        [before[0], before[1] - before[0]],
    ]
    p = float(fisher_exact(rows, alternative="greater").pvalue)
    return RateChange(p, probability_larger_rate(after, before))
