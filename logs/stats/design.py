"""Shares from a sample, weighted as it was drawn."""

import numpy as np
import numpy.typing as npt
from scipy.stats import beta as beta_distribution

from logs.stats import Range

BAND = 0.80


def weighted_share(
    hits: npt.ArrayLike,
    weights: npt.ArrayLike,
    *,
    certain: tuple[int, int] = (0, 0),
    band: float = BAND,
) -> tuple[float, Range]:
    """The share of a whole that was sampled in part, with the range that such a sample has.

    The ratio of weighted sums (Hájek 1971; Cochran, Sampling Techniques, 3rd ed. 1977, section
    6.11). Its range is Jeffreys' (Brown, Cai and DasGupta 2001, Statistical Science 16) with the
    size that the sample is worth: less where weights differ (Kish 1965), more where it is a good
    part of the whole (Cochran, section 2.6). Parts that differ from one another make the truth lie
    nearer than it says. All from memory.

    Args:
        hits: Of the sample, whether it happened.
        weights: How many of the whole each stands for, at least 1.
        certain: Hits and number of what was not sampled but taken whole.
        band: How often such a range holds the true share, between 0 and 1.

    Raises:
        ValueError: There is nothing in the sample.
    """
    hit, weight = np.asarray(hits, dtype=float), np.asarray(weights, dtype=float)
    if not hit.size:
        raise ValueError("hits is empty: a sample of none tells nothing")
    whole = float(weight.sum())
    share = float(weight @ hit) / whole
    unseen = 1 - len(weight) / whole
    low = high = share
    if unseen > 0:
        size = whole**2 / float((weight**2).sum()) / unseen
        ends = [(1 - band) / 2, (1 + band) / 2]
        low, high = beta_distribution.ppf(ends, size * share + 0.5, size * (1 - share) + 0.5)
        low, high = (0.0 if share == 0 else float(low)), (1.0 if share == 1 else float(high))
    n_hits, n = certain
    total = n + whole
    share, low, high = ((n_hits + whole * part) / total for part in (share, low, high))
    return share, Range(low=low, high=high, level=band)
