"""When a case should be met again, and whether chance will bring it in time.

Two published algorithms: SM-2 (Wozniak 1990) and the forgetting curve of FSRS version 6 (another
version has another curve). Their constants are for facts, not for hands: start values, to be
fitted anew on a club's own logs, and off by default.
"""

from dataclasses import dataclass
from math import ceil, exp

from scipy.integrate import quad

DECAY = 0.1542
"""w of FSRS version 6, published default."""


DRILL_BELOW = 0.85


SLOWEST_EASE = 1.3


@dataclass(frozen=True, slots=True)
class Review:
    """Where SM-2 stands with a case.

    Attributes:
        n: Reviews in a row that were passed.
        ease: EF, at least 1.3.
        interval_days: Days until the next review, 0 before the first.
    """

    n: int = 0
    ease: float = 2.5
    interval_days: int = 0


def reviewed(review: Review, grade: int) -> Review:
    """SM-2 after one review: 1 day, 6 days, then the last interval times EF, rounded up.

    Below grade 3 the repetitions start again and EF is kept.

    Args:
        review: Where it stood.
        grade: 0 to 5.

    Raises:
        ValueError: ``grade`` is not 0 to 5.
    """
    if not 0 <= grade <= 5:
        raise ValueError(f"grade is {grade}: it must be 0 to 5")
    if grade < 3:
        return Review(0, review.ease, 1)
    off = 5 - grade
    ease = max(SLOWEST_EASE, review.ease + 0.1 - off * (0.08 + off * 0.02))
    days = {0: 1, 1: 6}.get(review.n, ceil(round(review.interval_days * ease, 9)))
    return Review(review.n + 1, ease, days)


def grade(
    *, is_one_look: bool, recognition_ms: float, low_ms: float, high_ms: float, n_hesitations: int
) -> int:
    """The grade of a real sighting, 1 to 5, against the member's own band of recognition.

    "One look" alone is no 5: 5 is as fast as their fastest tenth and without a hesitation, 4
    inside the band, 3 slower than it or with a hesitation, 1 not in one look (our own scale).

    Args:
        is_one_look: Whether the sighting went in one look.
        recognition_ms: Its recognition.
        low_ms: Lower end of the band of the member's recognition times of cases like it.
        high_ms: Upper end.
        n_hesitations: Hesitations in its execution.
    """
    if not is_one_look:
        return 1
    if n_hesitations or recognition_ms > high_ms:
        return 3
    return 5 if recognition_ms < low_ms else 4


def retention(days: float, *, stability_days: float, decay: float = DECAY) -> float:
    """The chance that it is still there after ``days``: ``(1 + F t / S)^(-w)``.

    ``F = 0.9^(-1/w) - 1``, so that it is 0.9 after ``stability_days``.

    Raises:
        ValueError: ``days`` is below 0, or another argument is not above 0.
    """
    if days < 0 or stability_days <= 0 or decay <= 0:
        raise ValueError(
            f"days {days}, stability_days {stability_days}, decay {decay}: "
            "at least 0, and above 0 for the last two"
        )
    return float((1 + _factor(decay) * days / stability_days) ** -decay)


def _factor(decay: float) -> float:
    return float(0.9 ** (-1 / decay) - 1)


def interval_days(wanted: float, *, stability_days: float, decay: float = DECAY) -> float:
    """The days after which retention falls to ``wanted``.

    Raises:
        ValueError: ``wanted`` is not above 0 and at most 1.
    """
    if not 0 < wanted <= 1:
        raise ValueError(f"wanted is {wanted}: it must be above 0 and at most 1")
    return float(stability_days / _factor(decay) * (wanted ** (-1 / decay) - 1))


@dataclass(frozen=True, slots=True)
class NextMeeting:
    """How chance brings a case back: solves are the reviews.

    Attributes:
        mean_gap_days: Days between two sightings on average.
        mean_retention: Retention at the next sighting, on average.
        p_late: Chance that it comes after ``DRILL_BELOW`` is reached.
        is_drill_due: The mean gap is longer than that: chance will not bring it in time.
    """

    mean_gap_days: float
    mean_retention: float
    p_late: float
    is_drill_due: bool


def next_meeting(
    *, chance: float, solves_a_day: float, stability_days: float, decay: float = DECAY
) -> NextMeeting | None:
    """The next sighting of a case, gaps being exponential; None for a member who does not solve.

    Args:
        chance: Of the case in one solve, above 0.
        solves_a_day: At least 0.
        stability_days: S, above 0.
        decay: w, above 0.
    """
    if solves_a_day == 0:
        return None
    gap = 1 / (chance * solves_a_day)
    mean, _ = quad(
        lambda gaps: retention(gaps * gap, stability_days=stability_days, decay=decay) * exp(-gaps),
        0,
        50,
        epsabs=1e-10,
    )
    limit = interval_days(DRILL_BELOW, stability_days=stability_days, decay=decay)
    return NextMeeting(gap, float(mean), probability_gap_over(limit, gap), gap > limit)


def probability_gap_over(days: float, mean_gap_days: float) -> float:
    """The chance that a case stays away for more than ``days``."""
    return exp(-days / mean_gap_days)
