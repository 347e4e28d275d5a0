"""How many solves chance needs to bring cases often enough, and what date that makes fair."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from math import ceil, comb

import numpy as np
from scipy.special import gammaln
from scipy.stats import nbinom

SURE = 0.80


WEEKS_READ = 8


@dataclass(frozen=True, slots=True)
class Need:
    """Sightings wanted of one case.

    Attributes:
        chance: Of the case in one solve, above 0, below 1.
        sightings: How many are still wanted, at least 1.
        stage: Its stage: a solve brings one case of each, and the stages hang on nothing together.
    """

    chance: float
    sightings: int
    stage: str = "oll"

    def __post_init__(self) -> None:
        if not 0 < self.chance < 1:
            raise ValueError(f"chance is {self.chance}: it must lie between 0 and 1")
        if self.sightings < 1:
            raise ValueError(f"sightings is {self.sightings}: at least 1 must be wanted")


def mean_solves(need: Need) -> float:
    """Solves until the wanted sighting, on average: ``k / p`` (negative binomial)."""
    return need.sightings / need.chance


def sd_solves(need: Need) -> float:
    """Their standard deviation: ``sqrt(k (1 - p)) / p``."""
    return float(np.sqrt(need.sightings * (1 - need.chance))) / need.chance


def chance_met(needs: Sequence[Need], *, n_solves: int) -> float:
    """The chance that ``n_solves`` bring every case as often as is wanted, 0..1.

    Exact for random scrambles: inclusion and exclusion over the cases that fall short, of the
    multinomial distribution; cases of the same need are counted together.

    Args:
        needs: One a case, none at all being met from the start.
        n_solves: At least 0.

    Raises:
        ValueError: The chances of one stage add up to 1 or more (the skip has its own).
    """
    return float(
        np.prod(
            [
                _stage_chance([need for need in needs if need.stage == stage], n_solves)
                for stage in sorted({need.stage for need in needs})
            ]
        )
    )


def _stage_chance(needs: Sequence[Need], n_solves: int) -> float:
    if len(needs) == 1:
        need = needs[0]
        return float(nbinom.cdf(n_solves - need.sightings, need.sightings, need.chance))
    whole = sum(need.chance for need in needs)
    if whole >= 1:
        raise ValueError(f"the chances of stage {needs[0].stage!r} add up to {whole}: below 1 only")
    kinds = sorted(Counter(needs).items(), key=lambda item: (item[0].chance, item[0].sightings))
    total = 0.0
    for short in product(*(range(count + 1) for _, count in kinds)):
        ways = np.prod([comb(count, some) for (_, count), some in zip(kinds, short, strict=True)])
        needs_short = [
            need for (need, _), some in zip(kinds, short, strict=True) for _ in range(some)
        ]
        total += (-1) ** sum(short) * float(ways) * _all_short(needs_short, n_solves)
    return min(1.0, max(0.0, total))


def _all_short(needs: Sequence[Need], n_solves: int) -> float:
    """The chance that all of ``needs`` come up less often than is wanted."""
    series = np.ones(1)  # coefficient j: total weight of j sightings among these cases
    for need in needs:
        counts = np.arange(need.sightings)
        series = np.convolve(series, np.exp(counts * np.log(need.chance) - gammaln(counts + 1)))
    sightings = np.arange(min(len(series), n_solves + 1))
    left = (n_solves - sightings) * np.log1p(-sum(need.chance for need in needs))
    ways = gammaln(n_solves + 1) - gammaln(n_solves - sightings + 1)
    return float(series[: len(sightings)] @ np.exp(ways + left))


def solves_needed(needs: Sequence[Need], *, sure: float = SURE) -> int:
    """The fewest solves that meet all of ``needs`` with chance ``sure``.

    Raises:
        ValueError: ``sure`` is not between 0 and 1.
    """
    if not 0 < sure < 1:
        raise ValueError(f"sure is {sure}: it must lie between 0 and 1")
    low, high = -1, 1
    while chance_met(needs, n_solves=high) < sure:
        low, high = high, high * 2
    while high - low > 1:
        middle = (low + high) // 2
        if chance_met(needs, n_solves=middle) < sure:
            low = middle
        else:
            high = middle
    return high


def weekly_pace(weekly_counts: Sequence[int]) -> float:
    """Solves a week to reckon with: the lower quartile of the last eight weeks, quiet ones too.

    Args:
        weekly_counts: Solves of each week, oldest first; of none the pace is 0.
    """
    if not weekly_counts:
        return 0.0
    return float(np.quantile(list(weekly_counts)[-WEEKS_READ:], 0.25))


@dataclass(frozen=True, slots=True)
class DueDate:
    """Whether a date is fair.

    Attributes:
        n_solves: Solves that it takes for 80 %.
        weeks: Weeks that they take at the member's pace; None when the pace is 0.
        chance: The chance to have met the goal on that date by the pace.
        is_fair: Chance alone breaks it in at most 20 % of cases; refused otherwise.
    """

    n_solves: int
    weeks: float | None
    chance: float
    is_fair: bool


def due_date(needs: Sequence[Need], *, weekly_counts: Sequence[int], days: int) -> DueDate:
    """The look at a date before it is set.

    Args:
        needs: Sightings wanted of each case.
        weekly_counts: As for `weekly_pace`.
        days: From now to the date, at least 0.

    Raises:
        ValueError: ``days`` is below 0.
    """
    if days < 0:
        raise ValueError(f"days is {days}: a due date lies ahead")
    pace = weekly_pace(weekly_counts)
    n_solves = solves_needed(needs)
    by_then = int(pace * days / 7)
    chance = chance_met(needs, n_solves=by_then)
    return DueDate(n_solves, n_solves / pace if pace else None, chance, chance >= SURE)


def days_needed(due: DueDate) -> int | None:
    """The fewest days that would make the date fair; None when the pace is 0."""
    return None if due.weeks is None else ceil(due.weeks * 7)
