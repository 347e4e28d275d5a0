"""The times of a solution's turns: which turn ended when, and where the solver paused."""

from bisect import bisect_right
from collections.abc import Sequence
from itertools import filterfalse, islice
from operator import sub
from typing import NamedTuple

from cubecore.errors import RowError
from cubecore.notation import Script
from cubecore.rows import Row, latest_ms
from cubecore.turns import N_TURNS, Turns

HESITATION_MULTIPLE = 2.5
"""A pause is a hesitation from this multiple of the solve's own median gap between turns on
(a setting of ours, not a published figure)."""
HALF_TURNS = frozenset(turn for turn in range(N_TURNS) if turn % 3 == 1)
COARSE_STEPS_MS = (100, 125)
"""The steps of coarse clocks: tenths and eighths of a second, and whatever is made of them."""
_LONG_MS = 10_000
_WHOLE_STEPS = frozenset(gap for step in COARSE_STEPS_MS for gap in range(step, _LONG_MS, step))
COARSE_FROM_GAPS = 4
"""Fewer gaps between turns tell nothing of a clock (a setting of ours)."""
COARSE_SHARE = 0.75
"""From this share of gaps in whole steps on a row's clock is coarse (a setting of ours: a clock of
50 ms has a good half of its gaps in such steps by chance)."""


class TurnTimes(NamedTuple):
    """The times of the outer turns of a solution.

    Attributes:
        ends: The end of each, in ms; None when the row has none.
        ties: The positions between two turns that end in the same ms, in order.
        hesitation_ms: From which pause on a gap is a hesitation, or None.
        is_coarse: Whether the clock's steps are too coarse to part looks by.
    """

    ends: tuple[int, ...] | None
    ties: Sequence[int] = ()
    hesitation_ms: float | None = None
    is_coarse: bool = False

    @property
    def look_ends(self) -> tuple[int, ...] | None:
        """The ends, where looks may be parted and split by them."""
        return None if self.is_coarse else self.ends


NO_TIMES = TurnTimes(None)
_new_times = TurnTimes.__new__  # at half the cost of calling the class


def measure_times(ends: tuple[int, ...] | None) -> TurnTimes:
    """The times of turns with these ends."""
    if ends is None:
        return NO_TIMES
    gaps = list(map(sub, ends[1:], ends))
    ordered = sorted(gaps)
    n_ties = bisect_right(ordered, 0)
    n_gaps = len(ordered) - n_ties
    ties = _ties(gaps, n_ties) if n_ties else ()
    if not n_gaps:
        return TurnTimes(ends, ties)
    if n_gaps >= COARSE_FROM_GAPS and _are_whole_steps(ordered[n_ties:] if n_ties else ordered):
        return TurnTimes(ends, ties, is_coarse=True)
    median = ordered[n_ties + (n_gaps - 1) // 2]
    return _new_times(TurnTimes, ends, ties, HESITATION_MULTIPLE * median)


def _ties(gaps: list[int], n: int) -> list[int]:
    """The positions before which the ``n`` gaps of no time lie."""
    ties, at = [], 0
    for _ in range(n):
        at = gaps.index(0, at) + 1
        ties.append(at)
    return ties


def _are_whole_steps(gaps: Sequence[int]) -> bool:
    """Whether most of ``gaps``, in order, are whole steps of a coarse clock.

    It ends early where they are not, before the longest.
    """
    is_whole = _WHOLE_STEPS.__contains__ if gaps[-1] < _LONG_MS else _is_whole_step
    n_others_most = int((1 - COARSE_SHARE) * len(gaps))
    others = filterfalse(is_whole, gaps)
    return next(islice(others, n_others_most, None), None) is None


def _is_whole_step(gap: int) -> bool:
    return any(gap % step == 0 for step in COARSE_STEPS_MS)


def turn_ends(row: Row, script: Script) -> tuple[int, ...] | None:
    """The end of each turn of ``script``, the row's solution, in ms; None when it has no times.

    Raises:
        RowError: There are too few or too many, or the last is after the solve's end.
    """
    given = row.turn_ms
    if given is None:
        return None
    n_given, n_layer_tokens = len(given), script.n_layer_tokens
    if n_given not in (n_layer_tokens, script.n_tokens):
        raise RowError(
            "turn_ms_count",
            f"turn_ms: {n_given} times for {n_layer_tokens} layer turns"
            f" ({script.n_tokens} tokens with rotations); give one for each of either.",
            field="turn_ms",
        )
    if given[-1] > row.time_ms and given[-1] > latest_ms(row.time_ms, row.step_ms):
        raise RowError(
            "turn_after_end",
            f"turn_ms: the last turn ends at {given[-1]} ms, after the solve's {row.time_ms} ms.",
            field="turn_ms",
        )
    if not script.turns:
        return None
    if n_given == n_layer_tokens == len(script.turns):
        return given
    index = script.layer_tokens if n_given == n_layer_tokens else script.all_tokens
    return tuple([given[i] for i in index])


def tied_positions(turns: Turns, times: TurnTimes) -> list[int]:
    """The positions between two turns about one axis that end at the same ms of a fine clock."""
    if times.is_coarse:
        return []
    return [n for n in times.ties if turns[n - 1] // 3 % 3 == turns[n] // 3 % 3]


def hidden_positions(
    turns: Turns, mid_slices: Sequence[int], times: TurnTimes, tied: Sequence[int]
) -> Sequence[int]:
    """The positions in the middle of a slice or a half turn, which nobody sees, in order.

    A slice is one token, or turns about one axis that end at the same millisecond of a clock that
    is not coarse. In a log that has quarter turns alone, two alike are a half turn where the gap
    between them is shorter than the median one.

    Args:
        turns: The outer turns.
        mid_slices: How many had been made in the middle of each token of a slice.
        times: Their times.
        tied: Their `tied_positions`.
    """
    ends, hesitation_ms = times.ends, times.hesitation_ms
    middles: list[int] = []
    if ends is not None and hesitation_ms is not None and HALF_TURNS.isdisjoint(turns):
        median_ms = hesitation_ms / HESITATION_MULTIPLE
        again = _turns_again(turns)
        if tied:
            again += _slices_again(turns, tied)
        middles = [n for n in again if ends[n] - ends[n - 1] < median_ms]
    if tied or middles:
        return sorted({*mid_slices, *tied, *middles}) if mid_slices or tied else middles
    return mid_slices


def _turns_again(turns: Turns) -> list[int]:
    """Where a turn is made again."""
    n = len(turns) - 1
    differing = int.from_bytes(turns[1:], "little") ^ int.from_bytes(turns[:-1], "little")
    flags = differing.to_bytes(max(n, 0), "little")
    again = []
    at = flags.find(0)
    while at >= 0:
        again.append(at + 1)
        at = flags.find(0, at + 1)
    return again


def _slices_again(turns: Turns, tied: Sequence[int]) -> list[int]:
    """Where a slice whose two turns end at once is made again."""
    middles = set(tied)
    return [
        n + 1
        for n in tied
        if n + 2 in middles and sorted(turns[n - 1 : n + 1]) == sorted(turns[n + 1 : n + 3])
    ]
