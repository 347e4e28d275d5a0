"""How much of a case each part of the last layer gives away, in bits and in share of solves.

The case is the unknown, weighed by its chance, met at a random angle; information gain after
Shannon 1948 and Quinlan 1986 (ID3).
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterator
from math import log2
from typing import NamedTuple

from cubecore.cases import SKIP, SOLVED_KEY, CaseId, LastLayerKey, Stage
from cubecore.holds import STICKER_PLACES, Side, all_views, side_colours, top_shape


class Remainder(NamedTuple):
    """What is still open after looking at some part of the layer.

    Attributes:
        seen: What has been looked at.
        bits: The mean entropy of the case that is left.
        settled_share: The share of solves in which only one case is left.
    """

    seen: str
    bits: float
    settled_share: float


def _weighed_views(stage: Stage) -> Iterator[tuple[CaseId, LastLayerKey]]:
    """Every view of the stage, all equally likely: 216 orientations or 72 permutations."""
    yield CaseId(stage, SKIP), SOLVED_KEY
    for (case, _), key in all_views(stage).items():
        yield case, key


def _row(key: LastLayerKey, side: Side, stage: Stage) -> tuple[int, ...]:
    """What a side's row shows: last-layer colour or not, or colours as steps from the first seen.

    PLL colours are counted from the front's left corner, which is always looked at first.
    """
    stickers = [sticker for sticker in STICKER_PLACES if sticker.side is side]
    if stage is Stage.OLL:
        return tuple(int(STICKER_PLACES[sticker] in key) for sticker in stickers)
    colours = side_colours(key)
    origin = colours[next(iter(STICKER_PLACES))]
    return tuple((colours[sticker] - origin) % 4 for sticker in stickers)


def information(stage: Stage) -> tuple[Remainder, ...]:
    """What is left of the case after nothing, the top, the front row too, the right row too."""
    views = list(_weighed_views(stage))
    parts: list[tuple[str, Callable[[LastLayerKey], Hashable]]] = [
        ("nothing", lambda key: ()),
        ("top", top_shape),
        ("front row", lambda key: _row(key, Side.FRONT, stage)),
        ("right row", lambda key: _row(key, Side.RIGHT, stage)),
    ]
    remainders = []
    seen: list[tuple[Hashable, ...]] = [() for _ in views]
    for name, look in parts:
        seen = [(*before, look(key)) for before, (_, key) in zip(seen, views, strict=True)]
        remainders.append(_remainder(name, seen, [case for case, _ in views]))
    return tuple(remainders)


def _remainder(name: str, seen: list[tuple[Hashable, ...]], cases: list[CaseId]) -> Remainder:
    groups: dict[Hashable, Counter[CaseId]] = defaultdict(Counter)
    for view, case in zip(seen, cases, strict=True):
        groups[view][case] += 1
    bits = 0.0
    settled = 0
    for counts in groups.values():
        total = counts.total()
        bits -= sum(count * log2(count / total) for count in counts.values()) / len(cases)
        settled += total if len(counts) == 1 else 0
    return Remainder(name, abs(bits), settled / len(cases))
