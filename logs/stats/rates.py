"""Shares of counts, each with its range.

Whether a case now goes in one look: a test that may be looked at after every sighting.

Source: sequential probability ratio test, Wald 1945. Repeated tests at a fixed 5 % would err in
14 % of cases after five looks (Armitage, McPherson and Rowe 1969); this one does not. A test that
begins anew has a further chance to err each time, so that a run after "not yet" asks more than the
first: all runs together then verify a case that is not learnt in at most ``ALPHA``.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import ceil, log
from statistics import NormalDist
from typing import Final

import numpy as np
import numpy.typing as npt
from scipy.integrate import quad
from scipy.special import betaincinv, betaln
from scipy.stats import beta as beta_distribution

from logs.stats import Range
from logs.stats.grid import LIKELY

BAND = 0.80


FALSE_SHARE = 0.10
"""Of all that a page picks out to say, so much may be wrong."""


@dataclass(frozen=True, slots=True)
class Rate:
    """A share of counts.

    Attributes:
        n_hits: How often it happened.
        n: How often it could have.
        share: ``n_hits / n``, 0..1; null of none.
        range: Where the true share lies, 0..1.
    """

    n_hits: int
    n: int
    share: float | None
    range: Range


def rate(n_hits: int, n: int, *, band: float = BAND) -> Rate:
    """The share with its score interval (Wilson 1927, JASA 22).

    Args:
        n_hits: At least 0, at most ``n``.
        n: At least 0; of none the range is all of 0..1.
        band: How often such a range holds the true share, between 0 and 1.

    Raises:
        ValueError: The counts do not fit together.
    """
    if not 0 <= n_hits <= n:
        raise ValueError(f"n_hits is {n_hits}: it must lie between 0 and n = {n}")
    if n == 0:
        return Rate(0, 0, None, Range(low=0.0, high=1.0, level=band))
    z = NormalDist().inv_cdf((1 + band) / 2)
    share = n_hits / n
    middle = share + z * z / (2 * n)
    half = z * ((share * (1 - share) + z * z / (4 * n)) / n) ** 0.5
    scale = 1 + z * z / n
    low = 0.0 if n_hits == 0 else (middle - half) / scale
    high = 1.0 if n_hits == n else (middle + half) / scale
    return Rate(n_hits, n, share, Range(low=low, high=high, level=band))


def probability_larger_rate(first: tuple[int, int], second: tuple[int, int]) -> float:
    """P(first rate > second rate), each with a Beta(1/2, 1/2) prior.

    Integrated over the quantiles of the first, which are smooth where its density is not.

    Args:
        first: Hits and sightings.
        second: Hits and sightings.
    """
    one = beta_distribution(first[0] + 0.5, first[1] - first[0] + 0.5)
    other = beta_distribution(second[0] + 0.5, second[1] - second[0] + 0.5)
    value, _ = quad(lambda share: float(other.cdf(one.ppf(share))), 0, 1, limit=200, epsabs=1e-8)
    return float(np.clip(value, 0.0, 1.0))


DIFFERENT = 0.5
"""Belief, before a count is seen, that of all rates compared with another any differs at all."""


def probability_of_lean(there: tuple[int, int], back: tuple[int, int], *, n_pairs: int) -> float:
    """P(the first rate is the larger), against the belief that both rates are alike.

    Each rate has a Beta(1/2, 1/2) prior, where they differ as where they are one. The belief that
    they differ is shared among all pairs that could have been picked, so that the most lopsided of
    many even ones is not believed (a Bayes factor with a prior for multiplicity: Kass and Raftery
    1995; Scott and Berger 2006).

    Args:
        there: Hits and sightings.
        back: Hits and sightings the other way round.
        n_pairs: Pairs among which this one was picked, at least 1.
    """
    return belief_in_difference(there, back, n_pairs=n_pairs) * probability_larger_rate(there, back)


def belief_in_difference(first: tuple[int, int], second: tuple[int, int], *, n_pairs: int) -> float:
    """P(two rates differ), as `probability_of_lean` has it."""
    (x, n), (y, m) = first, second
    apart = betaln(x + 0.5, n - x + 0.5) + betaln(y + 0.5, m - y + 0.5) - betaln(0.5, 0.5)
    alike = betaln(x + y + 0.5, n + m - x - y + 0.5)
    odds = float(np.exp(apart - alike)) * (DIFFERENT / n_pairs) / (1 - DIFFERENT / n_pairs)
    return odds / (1 + odds)


ALPHA = 0.05


RESTARTED_ALPHA = 0.01
"""What the runs after a "not yet" may each err: the largest hundredth that keeps all within ALPHA."""


class AdoptionState(StrEnum):
    """What the sightings since homework was set say."""

    OPEN = "open"
    VERIFIED = "verified"
    NOT_YET = "not_yet"
    ASK_COACH = "ask_coach"


@dataclass(frozen=True, slots=True)
class SequentialTest:
    """The test of two rates.

    Attributes:
        not_learnt: One-look rate of a case that is not learnt.
        learnt: That of one that is.
        alpha: Wanted chance of a false "verified".
        beta: Wanted chance of a false "not yet".
    """

    not_learnt: float = 0.30
    learnt: float = 0.85
    alpha: float = ALPHA
    beta: float = 0.10

    def __post_init__(self) -> None:
        if not 0 < self.not_learnt < self.learnt < 1:
            raise ValueError(
                f"rates are {self.not_learnt} and {self.learnt}: both between 0 and 1, rising"
            )
        if not (0 < self.alpha < 0.5 and 0 < self.beta < 0.5):
            raise ValueError(
                f"alpha and beta are {self.alpha} and {self.beta}: between 0 and 0.5 only"
            )

    @property
    def hit(self) -> float:
        """Evidence of a sighting in one look."""
        return log(self.learnt / self.not_learnt)

    @property
    def miss(self) -> float:
        """Evidence of any other."""
        return log((1 - self.learnt) / (1 - self.not_learnt))

    @property
    def accept_at(self) -> float:
        """Evidence from which on the case counts as learnt."""
        return log((1 - self.beta) / self.alpha)

    @property
    def reject_at(self) -> float:
        """Evidence down from which it counts as not yet learnt."""
        return log(self.beta / (1 - self.alpha))


@dataclass(frozen=True, slots=True)
class Adoption:
    """Where the test stands.

    Attributes:
        state: Verified for good; not yet, and begun anew; open; or the coach must look.
        n: Sightings read: those after a verdict for good are not needed.
        n_hits: Of these, in one look.
        evidence: Log likelihood ratio of the current run.
        n_restarts: How often it began anew from zero.
    """

    state: AdoptionState
    n: int
    n_hits: int
    evidence: float
    n_restarts: int


DEFAULT_TEST = SequentialTest()


RESTARTED_TEST = SequentialTest(alpha=RESTARTED_ALPHA)


RUNS: Final = (DEFAULT_TEST, RESTARTED_TEST, RESTARTED_TEST)
"""The test of each run: "not yet" begins the next one; after the last the coach must look."""


RAISED_ALPHA = 0.03
"""The first run's, against a member's own rate above the usual one: all runs then err in 5 %."""


HIGHEST_NULL = 0.70


UPPER = 0.8
"""Where a rate before is not known it is taken for the upper end of a range of 60 %."""


def bounded_null(rate: float) -> float:
    """A rate that counts as no gain, as far as a test can tell it from one that is learnt.

    No less than that of a case that is not learnt, and no more than a rate above which a gain
    could hardly be shown.
    """
    return min(HIGHEST_NULL, max(DEFAULT_TEST.not_learnt, rate))


def rate_before(n_hits: int, n: int) -> float:
    """The rate that counts as no gain, from a member's own sightings before.

    What it may well have been (``UPPER``, from Beta(1/2, 1/2)), as a few sightings tell little,
    within the bounds of `bounded_null`.

    Args:
        n_hits: Sightings before that were as asked.
        n: All of them; of none it is the rate of a case that is not learnt.
    """
    if not n:
        return DEFAULT_TEST.not_learnt
    return bounded_null(float(betaincinv(n_hits + 0.5, n - n_hits + 0.5, UPPER)))


def runs_against(null: float) -> Sequence[SequentialTest]:
    """The runs of a test against a rate that counts as no gain, as `rate_before` has it."""
    if null <= DEFAULT_TEST.not_learnt:
        return RUNS
    learnt = max(DEFAULT_TEST.learnt, 1 - (1 - null) / 3)
    alphas = (RAISED_ALPHA, RESTARTED_ALPHA, RESTARTED_ALPHA)
    return tuple(SequentialTest(null, learnt, alpha) for alpha in alphas)


def adoption(hits: Iterable[bool], *, runs: Sequence[SequentialTest] = RUNS) -> Adoption:
    """The state after these sightings.

    Args:
        hits: All sightings of the case in solves dated after homework was set, oldest first, none
            picked: whether it went in one look by the book's or the member's own algorithm.
        runs: The test of each run, at least one.
    """
    n = n_hits = n_restarts = in_run = 0
    evidence = 0.0
    test = runs[0]
    for hit in hits:
        n, n_hits, in_run = n + 1, n_hits + bool(hit), in_run + 1
        evidence += test.hit if hit else test.miss
        if evidence >= test.accept_at:
            return Adoption(AdoptionState.VERIFIED, n, n_hits, evidence, n_restarts)
        if evidence <= test.reject_at:
            if n_restarts == len(runs) - 1:
                return Adoption(AdoptionState.ASK_COACH, n, n_hits, evidence, n_restarts)
            evidence, in_run, n_restarts = 0.0, 0, n_restarts + 1
            test = runs[n_restarts]
    is_fresh = n_restarts > 0 and in_run == 0
    state = AdoptionState.NOT_YET if is_fresh else AdoptionState.OPEN
    return Adoption(state, n, n_hits, evidence, n_restarts)


def fewest_more(so_far: Adoption, *, runs: Sequence[SequentialTest] = RUNS) -> int:
    """Hits in a row that would verify; what waits for the coach begins anew in their hands."""
    if so_far.state is AdoptionState.VERIFIED:
        return 0
    is_anew = so_far.state is AdoptionState.ASK_COACH
    test, evidence = (runs[0], 0.0) if is_anew else (runs[so_far.n_restarts], so_far.evidence)
    return ceil((test.accept_at - evidence) / test.hit - 1e-9)


@dataclass(frozen=True, slots=True)
class ErrorRates:
    """How the check does on a case of a given one-look rate.

    Attributes:
        verified: Chance that the first run ends in "verified".
        not_yet: Chance that it ends in "not yet".
        mean_length: Sightings that it takes on average.
        verified_in_all: Chance to be verified in any run before the coach must look.
    """

    verified: float
    not_yet: float
    mean_length: float
    verified_in_all: float


def error_rates(
    rate: float, *, runs: Sequence[SequentialTest] = RUNS, longest: int = 500
) -> ErrorRates:
    """The exact chances of the check, by carrying the distribution of its counts forward.

    Args:
        rate: One-look rate of the case, 0..1.
        runs: As for `adoption`.
        longest: Sightings after which a run that is still open is not counted on.

    Raises:
        ValueError: ``rate`` is not in 0..1.
    """
    if not 0 <= rate <= 1:
        raise ValueError(f"rate is {rate}: it must lie between 0 and 1")
    ends = [_run_ends(rate, test, longest) for test in runs]
    in_all, reached = 0.0, 1.0
    for verified, not_yet, _ in ends:
        in_all += reached * verified
        reached *= not_yet
    return ErrorRates(*ends[0], in_all)


def _run_ends(rate: float, test: SequentialTest, longest: int) -> tuple[float, float, float]:
    """The chances that one run ends in "verified" and in "not yet", and its mean length."""
    running = {0: 1.0}  # chance by hits, of runs that are still open
    verified = not_yet = length = 0.0
    for n in range(1, longest + 1):
        stepped: dict[int, float] = {}
        for n_hits, chance in running.items():
            stepped[n_hits] = stepped.get(n_hits, 0.0) + chance * (1 - rate)
            stepped[n_hits + 1] = stepped.get(n_hits + 1, 0.0) + chance * rate
        running = {}
        for n_hits, chance in stepped.items():
            evidence = n_hits * test.hit + (n - n_hits) * test.miss
            if evidence >= test.accept_at:
                verified, length = verified + chance, length + n * chance
            elif evidence <= test.reject_at:
                not_yet, length = not_yet + chance, length + n * chance
            else:
                running[n_hits] = chance
    return verified, not_yet, length


def worth_saying(
    chances: npt.ArrayLike, *, false_share: float = FALSE_SHARE
) -> npt.NDArray[np.bool_]:
    """Which of many claims may be picked out: together at most ``false_share`` of them are wrong.

    The most certain ones, as many as keep the mean chance to be wrong at ``false_share``, and none
    that is not likely by itself (Bayesian false discovery rate: Newton and others 2004).

    Args:
        chances: Of each claim to be true, 0..1.
        false_share: Between 0 and 1.
    """
    p = np.asarray(chances, dtype=float)
    order = np.argsort(-p, kind="stable")
    wrong = np.cumsum(1 - p[order]) / np.arange(1, p.size + 1)
    may_say = np.zeros(p.size, dtype=bool)
    may_say[order[: np.count_nonzero(wrong <= false_share)]] = True
    return may_say & (p >= LIKELY)
