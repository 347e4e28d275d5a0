"""The times of many rows at once, by NumPy, and their half turns; as `turn_times` and `united`."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from cubecore.compact import MID_SLICE, CompactRow, PackedNumbers, pack, unpack
from cubecore.turn_times import (
    COARSE_FROM_GAPS,
    COARSE_SHARE,
    COARSE_STEPS_MS,
    HALF_TURNS,
    HESITATION_MULTIPLE,
    NO_TIMES,
    TurnTimes,
    measure_times,
    tied_positions,
)
from cubecore.turns import NO_TURNS
from cubecore.united import unite_half_turns

Bytes = NDArray[np.uint8]
Flags = NDArray[np.bool_]

_LONG = 1 << 30  # no gap has as many ms


class RowAsRead(NamedTuple):
    """A row whose half turns are one turn each.

    Attributes:
        at: Which row it is.
        row: The row as it is read.
        counts: As in `united.UnitedRow`; None where nothing was united.
    """

    at: int
    row: CompactRow
    counts: list[int] | None


def read_row(at: int, row: CompactRow) -> RowAsRead:
    """The row with its half turns united."""
    # A gap of 0 is a byte of 0, and no other number has one.
    if row.gaps is None or 0 not in row.gaps[1:]:
        return RowAsRead(at, row, None)
    whole = unpack(row)
    tied = tied_positions(whole.turns or NO_TURNS, measure_times(whole.ends))
    united = unite_half_turns(whole, tied)
    if united is None:
        return RowAsRead(at, row, None)
    return RowAsRead(at, pack(united.row), united.counts)


class Times(NamedTuple):
    """The times of a chunk.

    Attributes:
        gaps: The ms before each turn, 0 where there is none: (n, T).
        has_fine_times: Which rows have times, and not those of a coarse clock.
        of_rows: The times of each row, shorter ones going on to the longest.
    """

    gaps: NDArray[np.int32]
    has_fine_times: Flags
    of_rows: list[TurnTimes]


def _unpack_gaps(packed: PackedNumbers) -> NDArray[np.int32]:
    """As `compact.unpack_numbers`."""
    parts = np.frombuffer(packed, np.uint8)
    ends = np.flatnonzero(parts < 0x80)  # where the last byte of each number is
    gaps = parts[ends].astype(np.int32)
    n_before = np.diff(ends, prepend=-1) - 1  # how many bytes of it come before that
    for back in range(1, n_before.max(initial=0) + 1):
        longer = n_before >= back
        gaps[longer] = gaps[longer] << 7 | parts[ends[longer] - back] & 0x7F
    return gaps


def chunk_times(rows: Sequence[CompactRow], is_turn: Flags) -> Times:
    """The times of ``rows``, as `turn_times.measure_times`; ``is_turn`` says where turns are."""
    has_times = np.array([row.gaps is not None for row in rows])
    gaps = np.zeros(is_turn.shape, np.int32)
    gaps[is_turn & has_times[:, None]] = _unpack_gaps(
        PackedNumbers(b"".join([row.gaps or b"" for row in rows]))
    )
    between = np.where(gaps[:, 1:] > 0, gaps[:, 1:], np.int32(_LONG))
    between.sort(axis=1)
    is_gap = between < _LONG
    n_gaps = is_gap.sum(axis=1)
    tenth, eighth = COARSE_STEPS_MS
    n_whole = (is_gap & ((between % tenth == 0) | (between % eighth == 0))).sum(axis=1)
    is_coarse = (n_gaps >= COARSE_FROM_GAPS) & (n_whole >= COARSE_SHARE * n_gaps)
    if between.shape[1]:
        median = between[np.arange(len(rows)), np.maximum(n_gaps - 1, 0) // 2]
    else:
        median = np.zeros(len(rows), np.int32)
    pauses = (HESITATION_MULTIPLE * median).tolist()
    has_pause = ((n_gaps > 0) & ~is_coarse).tolist()
    columns = zip(
        has_times.tolist(),
        gaps.cumsum(axis=1).tolist(),
        is_turn.sum(axis=1).tolist(),
        has_pause,
        pauses,
        is_coarse.tolist(),
        strict=True,
    )
    of_rows = [
        TurnTimes(
            tuple(ends[:n_turns]),
            # What ties hide is found for all rows at once.
            hesitation_ms=pause if has_hesitation else None,
            is_coarse=coarse,
        )
        if timed
        else NO_TIMES
        for timed, ends, n_turns, has_hesitation, pause, coarse in columns
    ]
    return Times(gaps, has_times & ~is_coarse, of_rows)


def hidden_flags(marked: Bytes, turns: Bytes, is_turn: Flags, times: Times) -> Flags:
    """Which positions nobody sees, as `turn_times.hidden_positions`: (n, T + 1)."""
    hidden = np.zeros((len(turns), turns.shape[1] + 1), np.bool_)
    hidden[:, :-1] = marked & MID_SLICE
    axis = turns // 3 % 3
    is_tied = (times.gaps[:, 1:] == 0) & (axis[:, 1:] == axis[:, :-1]) & is_turn[:, 1:]
    hidden[:, 1:-1] |= is_tied & times.has_fine_times[:, None]
    has_halves = (np.isin(turns, list(HALF_TURNS)) & is_turn).any(axis=1)
    limit = np.array([(one.hesitation_ms or 0) / HESITATION_MULTIPLE for one in times.of_rows])
    limit[has_halves] = 0
    if limit.any():
        hidden[:, 1:-1] |= _mid_half_turns(turns, is_turn, times.gaps, limit)
    return hidden


def _mid_half_turns(
    turns: Bytes, is_turn: Flags, gaps: NDArray[np.int32], limit: NDArray[np.float64]
) -> Flags:
    """As `turn_times._mid_half_turns`, from after the first turn to before the last: (n, T - 1)."""
    gap = gaps[:, 1:]
    is_again = turns[:, 1:] == turns[:, :-1]
    if turns.shape[1] > 3:
        first, second, third, fourth = (turns[:, n : n + turns.shape[1] - 3] for n in range(4))
        is_same = (first == third) & (second == fourth) | (first == fourth) & (second == third)
        is_slice = is_same & (first // 3 % 3 == second // 3 % 3)
        is_slice &= (gap[:, :-2] == 0) & (gap[:, 2:] == 0) & is_turn[:, 3:]
        is_again[:, 1:-1] |= is_slice
    middles: Flags = is_again & (gap > 0) & (gap < limit[:, None]) & is_turn[:, 1:]
    return middles
