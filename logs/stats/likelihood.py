"""The one scale of words for chances, and how many digits an estimate may show."""

from enum import StrEnum
from math import floor, log10


class Likelihood(StrEnum):
    """How sure a claim is, in words that always mean the same.

    Source: IPCC calibrated language (Mastrandrea et al. 2010); its two thirds is taken as 0.66.
    """

    VERY_LIKELY = "very likely"
    LIKELY = "likely"
    ABOUT_AS_LIKELY_AS_NOT = "about as likely as not"
    UNLIKELY = "unlikely"
    VERY_UNLIKELY = "very unlikely"


LIKELY = 0.66


VERY_LIKELY = 0.90


def likelihood(probability: float) -> Likelihood:
    """The word for a probability.

    Args:
        probability: 0..1; an end belongs to the stronger word, 0.66 and 0.90 are named in full.

    Raises:
        ValueError: ``probability`` is not in 0..1 (NaN is not).
    """
    if not 0 <= probability <= 1:
        raise ValueError(f"probability is {probability}: it must lie between 0 and 1")
    if probability >= VERY_LIKELY:
        return Likelihood.VERY_LIKELY
    if probability >= LIKELY:
        return Likelihood.LIKELY
    if probability >= 0.33:
        return Likelihood.ABOUT_AS_LIKELY_AS_NOT
    return Likelihood.UNLIKELY if probability > 0.10 else Likelihood.VERY_UNLIKELY


def decimals_shown(half_width: float, *, most: int = 2) -> int:
    """How many decimals an estimate deserves: two significant digits of its half-width.

    Source: JCGM 100:2008 (GUM) 7.2.6, uncertainties to at most two significant digits, the
    estimate to the same place.

    Args:
        half_width: Half of the band, in the unit shown, above 0; 0 shows ``most``.
        most: Never more decimals than these; times end at the hundredth.

    Raises:
        ValueError: ``half_width`` is below 0 or not finite.
    """
    if not 0 <= half_width < float("inf"):
        raise ValueError(f"half_width is {half_width}: it must be a number of at least 0")
    if half_width == 0:
        return most
    return min(most, max(0, 1 - floor(log10(half_width))))
