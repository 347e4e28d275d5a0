"""Clubs that mix pairs of cases up evenly, and clubs that lean one way."""

from collections.abc import Iterator
from typing import Final

import numpy as np

from logs.stats.grid import LIKELY
from logs.stats.rates import belief_in_difference, probability_of_lean

N_PAIRS: Final = 20
LOOKS: Final = 60
RATE: Final = 0.12
RATE_BACK: Final = 0.01


def pages(
    n: int, seed: int, *, n_leaning: int = 0, looks_mean: int = LOOKS
) -> Iterator[tuple[int, int]]:
    """How many marks a page says to teach: of pairs that lean, and of those that do not.

    Args:
        n: Pages.
        seed: Of the draws.
        n_leaning: Pairs that are taken one way at `RATE` and back at `RATE_BACK`; the others are
            at `RATE` both ways.
        looks_mean: Looks at a case, on average.
    """
    rng = np.random.default_rng(seed)
    for _ in range(n):
        looks = rng.poisson(looks_mean, (N_PAIRS, 2)) + 1
        rates = np.full((N_PAIRS, 2), RATE)
        rates[:n_leaning, 1] = RATE_BACK
        hits = rng.binomial(looks, rates)
        taught = [False] * N_PAIRS
        for pair in range(N_PAIRS):
            sides = [(int(hits[pair, way]), int(looks[pair, way])) for way in (0, 1)]
            sides.sort(key=lambda side: -side[0] / side[1])
            if belief_in_difference(*sides, n_pairs=N_PAIRS) >= LIKELY:  # else it cannot be said
                taught[pair] = probability_of_lean(*sides, n_pairs=N_PAIRS) >= LIKELY
        yield sum(taught[:n_leaning]), sum(taught[n_leaning:])
