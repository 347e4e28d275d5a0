"""When a member took another algorithm of a case into use: a mark to read a dip of times by."""

from collections import Counter
from collections.abc import Sequence

USED_FROM = 3
"""So many uses make an algorithm one that was taken up, not one that was tried."""


def taken_up(algorithms: Sequence[str]) -> list[tuple[int, str]]:
    """Where each algorithm but the first was taken up: place from 0, and its text, in order.

    An algorithm counts from its first use on if it was used at least ``USED_FROM`` times in all
    (our own rule). A dip there can be the price of a new method (Gray and Lindstedt 2017).

    Args:
        algorithms: The algorithm of each sighting in one look, oldest first; empty where none is
            known.
    """
    n_used = Counter(text for text in algorithms if text)
    kept = [text for text in dict.fromkeys(algorithms) if n_used[text] >= USED_FROM]
    return [(list(algorithms).index(text), text) for text in kept[1:]]
