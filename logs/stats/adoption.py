"""Whether a case now goes in one look: a test that may be looked at after every sighting.

Source: sequential probability ratio test, Wald 1945. Repeated tests at a fixed 5 % would err in
14 % of cases after five looks (Armitage, McPherson and Rowe 1969); this one does not. A test that
begins anew has a further chance to err each time, so that a run after "not yet" asks more than the
first: all runs together then verify a case that is not learnt in at most ``ALPHA``.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import ceil, log
from typing import Final

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
