"""Quantiles of many times from a few bytes that can be added up, within a stated relative error.

Times are counted in buckets whose edges grow by a fixed factor, ``gamma = (1 + ALPHA)/(1 - ALPHA)``:
bucket i holds ``gamma^(i-1) < x <= gamma^i``, and its middle ``2 gamma^i / (gamma + 1)`` is within
ALPHA of every time in it. Source: Masson, Rim and Lee 2019, "DDSketch: a fast and fully-mergeable
quantile sketch with relative-error guarantees" (PVLDB 12(12), 2195-2205), sections 2.1 and 2.2. Its
limit on the number of buckets is left out: one millisecond to the longest time the engine takes
are fewer than 1,000 of them, so nothing is ever collapsed, and adding up is exact in any order.
"""

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import accumulate
from math import ceil, floor, log

from cubecore.compact import PackedNumbers, pack_numbers, unpack_numbers

ALPHA = 0.01
"""The relative error: a quantile is within one part in a hundred of the exact one."""


_GAMMA = (1 + ALPHA) / (1 - ALPHA)


_LOG_GAMMA = log(_GAMMA)


_MARK = round(1000 * ALPHA)
"""First of the bytes: of which error a sketch is. After a change of ``ALPHA`` kept ones are refused,
and have to be made anew."""


@dataclass(frozen=True, slots=True)
class Sketch:
    """How many times fell into each bucket.

    Attributes:
        counts: Times by bucket, 0 or more; no bucket without one.
    """

    counts: Mapping[int, int] = field(default_factory=dict)

    @property
    def n(self) -> int:
        """How many times are in it."""
        return sum(self.counts.values())

    def __add__(self, other: "Sketch") -> "Sketch":
        """The sketch of both lots of times together."""
        counts = Counter(self.counts)
        counts.update(other.counts)
        return Sketch(dict(counts))

    def quantile(self, share: float) -> float:
        """The time below which a share of the times lies, in ms, within ``ALPHA`` of the exact one.

        The exact one is that of `numpy.quantile` by its default method, and for the median of
        `statistics.median`: between two times it is on the line from one to the other.

        Args:
            share: 0 to 1; 0.5 for the median.

        Raises:
            ValueError: There are no times, or ``share`` is not within 0 and 1.
        """
        if not self.counts or not 0 <= share <= 1:
            raise ValueError("a quantile needs times and a share within 0 and 1")
        place = share * (self.n - 1)
        low, high = self._at(floor(place)), self._at(ceil(place))
        return low + (high - low) * (place - floor(place))

    def _at(self, place: int) -> float:
        """The time at a place, 0-based in the order of size."""
        buckets = sorted(self.counts)
        up_to = list(accumulate(self.counts[bucket] for bucket in buckets))
        return 2 * _GAMMA ** buckets[bisect_right(up_to, place)] / (_GAMMA + 1)

    def to_bytes(self) -> bytes:
        """The sketch in a few bytes, the same for equal sketches; empty for no times.

        ``1000 ALPHA``, then for each bucket in order how far it is from the last one and its count,
        both as `cubecore.compact.pack_numbers` writes them.
        """
        if not self.counts:
            return b""
        numbers, last = [], 0
        for bucket, n in sorted(self.counts.items()):
            numbers += [bucket - last, n]
            last = bucket
        return bytes([_MARK]) + pack_numbers(numbers)


EMPTY = Sketch()


def sketch_of(times_ms: Iterable[float]) -> Sketch:
    """The sketch of times.

    Args:
        times_ms: Of 1 ms or more.

    Raises:
        ValueError: A time is shorter.
    """
    return Sketch(dict(Counter(map(bucket_of, times_ms))))


def bucket_of(time_ms: float) -> int:
    """The bucket of one time of 1 ms or more.

    Raises:
        ValueError: It is shorter.
    """
    if not time_ms >= 1:
        raise ValueError(f"{time_ms} ms: a sketch takes times of 1 ms or more")
    return ceil(log(time_ms) / _LOG_GAMMA)


def read_sketch(kept: bytes) -> Sketch:
    """The sketch that `Sketch.to_bytes` made ``kept`` of.

    Raises:
        ValueError: It is of another error, or was cut.
    """
    if not kept:
        return EMPTY
    if kept[0] != _MARK:
        raise ValueError("the sketch is of another relative error; make the tallies anew")
    numbers = list(unpack_numbers(PackedNumbers(kept[1:])))
    if len(numbers) % 2:
        raise ValueError("the sketch was cut short")
    counts, bucket = {}, 0
    for step, n in zip(numbers[::2], numbers[1::2], strict=True):
        bucket += step
        counts[bucket] = n
    return Sketch(counts)
