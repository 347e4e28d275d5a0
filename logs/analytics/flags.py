"""Which of many cells may be flagged: of 57 tested at 5 % nearly three are false."""

import numpy as np
import pandas as pd
from scipy.stats import false_discovery_control

FALSE_SHARE = 0.10


def flagged(p_values: pd.Series, *, false_share: float = FALSE_SHARE) -> pd.Series:
    """The cells to flag, so that about ``false_share`` of the flags at most are false.

    Source: Benjamini and Hochberg 1995.

    Args:
        p_values: float64 in 0..1, one a cell; NaN (no test) is never flagged and counts for none.
        false_share: Expected share of false flags among all, between 0 and 1.

    Returns:
        bool on the index of ``p_values``.
    """
    known = p_values.notna().to_numpy()
    is_flagged = np.zeros(len(p_values), dtype=bool)
    if known.any():
        is_flagged[known] = (
            false_discovery_control(p_values.to_numpy(dtype=float)[known]) <= false_share
        )
    return pd.Series(is_flagged, index=p_values.index)
