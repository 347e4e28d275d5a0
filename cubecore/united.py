"""Half turns that a log has as two turns at one time, made one again before anything else is read.

Neighbours of one face at one time are one turn. A row without times, or with those of a coarse
clock, is read as it is written.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from cubecore.compact import TurnedRow
from cubecore.turns import Face, Turns, make_turn


class UnitedRow(NamedTuple):
    """A row whose turns of one face at one time are one turn each.

    Attributes:
        row: The row, with fewer turns than the log has.
        counts: For each number of its turns, how many of the log's turns those are.
    """

    row: TurnedRow
    counts: list[int]


class _Block(NamedTuple):
    """Turns about one axis that end together.

    Attributes:
        amounts: For each face its clockwise quarter turns, in the order they were made.
        end_ms: When they ended.
        n_turns: How many turns of the log had been made by then.
    """

    amounts: dict[Face, int]
    end_ms: int
    n_turns: int


def unite_half_turns(row: TurnedRow, tied: Sequence[int]) -> UnitedRow | None:
    """The row with turns of one face at one time united, or None where nothing is to be united.

    Args:
        row: A row with turns.
        tied: Where two of them are tied, as `turn_times.tied_positions` has it.
    """
    turns, ends = row.turns, row.ends
    if turns is None or ends is None or not _has_neighbours_of_one_face(turns, tied):
        return None
    return _united(row, _blocks(turns, ends, frozenset(tied)))


def _has_neighbours_of_one_face(turns: Turns, tied: Sequence[int]) -> bool:
    """Whether two tied turns are of one face, or more than two are tied in a row."""
    return any(turns[n - 1] // 3 == turns[n] // 3 for n in tied) or any(
        b - a == 1 for a, b in pairwise(tied)
    )


def _blocks(turns: Turns, ends: Sequence[int], tied: frozenset[int]) -> list[_Block]:
    """The turns, those of one axis and one end together; what undoes itself is left out."""
    blocks: list[_Block] = []
    amounts: dict[Face, int] = {}
    for n, turn in enumerate(turns):
        if n not in tied:
            amounts = {}
        face = Face(turn // 3)
        amounts[face] = (amounts.get(face, 0) + turn % 3 + 1) % 4
        if n + 1 not in tied:
            left = {face: amount for face, amount in amounts.items() if amount}
            blocks.append(_Block(left, ends[n], n + 1))
    return blocks


def _united(row: TurnedRow, blocks: Iterable[_Block]) -> UnitedRow:
    turns, ends, counts = bytearray(), [], [0]
    for block in blocks:
        for face, amount in block.amounts.items():
            turns.append(make_turn(face, amount))
            ends.append(block.end_ms)
            counts.append(block.n_turns)
    at = {count: n for n, count in enumerate(counts)}
    mid_slices = [at[n] for n in row.mid_slices if n in at]
    united = row._replace(turns=Turns(bytes(turns)), mid_slices=mid_slices, ends=tuple(ends))
    return UnitedRow(united, counts)
