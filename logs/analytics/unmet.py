"""How many cases chance alone leaves unmet after so many solves."""

from collections.abc import Sequence
from itertools import combinations
from typing import NamedTuple


class ExpectedUnmet(NamedTuple):
    """Cases that have not come up yet, as chance has it.

    Attributes:
        mean: Their expected number.
        sd: Its standard deviation.
        share: The share of the next solves that they hold, 0..1.
    """

    mean: float
    sd: float
    share: float


def expected_unmet(chances: Sequence[float], *, n_solves: int) -> ExpectedUnmet:
    """The cases unmet after ``n_solves`` independent solves.

    ``E = sum (1 - p)^n``; the variance adds the covariance of each two cases, whose joint chance
    of staying out is ``(1 - p - q)^n`` (multinomial occupancy, textbook). Equal chances are
    counted together.

    Args:
        chances: The chance of each case in one solve, 0..1, at most 1 together.
        n_solves: At least 0.
    """
    still_out = [(1 - p) ** n_solves for p in chances]
    mean = sum(still_out)
    variance = sum(out * (1 - out) for out in still_out)
    for (p, out_p), (q, out_q) in combinations(zip(chances, still_out, strict=True), 2):
        variance += 2 * ((1 - p - q) ** n_solves - out_p * out_q)
    share = sum(p * out for p, out in zip(chances, still_out, strict=True))
    return ExpectedUnmet(mean, max(variance, 0.0) ** 0.5, share)
