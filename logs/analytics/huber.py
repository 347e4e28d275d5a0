"""A centre of times that a few odd ones cannot drag along."""

import numpy as np
import pandas as pd
from statsmodels.robust.norms import (
    HuberT,
    estimate_location,
)
from statsmodels.robust.scale import mad

TUNING = 1.345
"""95 % efficiency where times are normal after all (Huber 1964)."""


def huber_centre(times_ms: pd.Series) -> float | None:
    """The Huber M-estimate of location on logs, in ms; None without a time.

    The scale is the MAD, held. With at least half of the times equal it is 0: the median then.

    Args:
        times_ms: float64 ms above 0, any order; NaN is left out.

    Raises:
        ValueError: A time is not above 0.
    """
    known = np.sort(times_ms.dropna().to_numpy(dtype=float))
    if known.size == 0:
        return None
    if known[0] <= 0:
        raise ValueError(f"times_ms has {known[0]} ms: every time must be above 0")
    logs = np.log(known)
    scale = float(mad(logs))
    if scale == 0:
        return float(np.median(known))
    return float(np.exp(estimate_location(logs, scale, HuberT(TUNING))))
