"""What a replay needs of a row in a few bytes, so that a label made again parses no text.

A turn is a byte, and so are most of the times between two turns: LEB128, the variable-length form
of whole numbers that the DWARF standard has (DWARF 5, section 7.6), seven bits a byte, low bits
first, the high bit set where more follow.
"""

from collections.abc import Sequence
from itertools import accumulate
from operator import sub
from typing import NamedTuple, NewType

from cubecore.errors import CubeError
from cubecore.notation import parse_script
from cubecore.rows import Penalty, Row
from cubecore.turn_times import turn_ends
from cubecore.turns import HOME_HOLD, N_TURNS, Hold, Turns, byte_table

MID_SLICE = 0x20
"""Added to the byte of the second of the two outer turns that one token of a slice makes."""
MarkedTurns = NewType("MarkedTurns", bytes)
"""Turns, with `MID_SLICE` added to some."""
PackedNumbers = NewType("PackedNumbers", bytes)
"""Whole numbers from 0 on as LEB128, one behind the other."""
_MORE = 0x80

_PLAIN = byte_table({turn + MID_SLICE: turn for turn in range(N_TURNS)})
_MARKED = frozenset(range(MID_SLICE, MID_SLICE + N_TURNS))


class TurnedRow(NamedTuple):
    """A row as it is replayed, its texts read.

    Attributes:
        scramble: Its outer turns, fixed frame.
        turns: The outer turns of the solution; None when the row has none.
        mid_slices: How many turns had been made where the token of a slice was half done.
        ends: The end of each turn in ms; None when the row has no times.
        penalty: None, +2 or DNF.
        hold: How the cube is held after the scramble; for a hint alone, so that bytes don't keep it.
    """

    scramble: Turns
    turns: Turns | None
    mid_slices: list[int]
    ends: tuple[int, ...] | None
    penalty: Penalty
    hold: Hold = HOME_HOLD


_new_row = TurnedRow.__new__  # by keyword at half the cost of calling the class


class CompactRow(NamedTuple):
    """A `TurnedRow` as bytes.

    Attributes:
        scramble: Its outer turns, fixed frame, a byte each.
        solution: The same of the solution, ``MID_SLICE`` added where a slice's token is done; None
            when the row has no solution.
        gaps: The ms from each turn's end to the next, the first from the timer's start, as LEB128;
            None when the row has no times.
        penalty: None, +2 or DNF.
    """

    scramble: Turns
    solution: MarkedTurns | None
    gaps: PackedNumbers | None
    penalty: Penalty


def read_turns(row: Row) -> TurnedRow:
    """The turns of ``row`` and when they ended; the solution begins in the hold of the scramble.

    Raises:
        NotationError: Scramble or solution is not notation; ``field`` says which.
        RowError: The times do not fit the turns.
    """
    field = "scramble"
    try:
        scramble = parse_script(row.scramble)
        if row.solution is None:
            return TurnedRow(
                scramble=scramble.turns, turns=None, mid_slices=[], ends=None, penalty=row.penalty
            )
        field = "solution"
        script = parse_script(row.solution, scramble.hold)
    except CubeError as error:
        error.field = field
        raise
    return _new_row(
        TurnedRow,
        scramble=scramble.turns,
        turns=script.turns,
        mid_slices=_mid_slices(script.lengths) if 2 in script.lengths else [],
        ends=turn_ends(row, script),
        penalty=row.penalty,
        hold=scramble.hold,
    )


def _mid_slices(lengths: bytes) -> list[int]:
    """How many turns had been made in the middle of each token that makes two."""
    ends = accumulate(lengths)
    return [end - 1 for end, length in zip(ends, lengths, strict=True) if length == 2]


def pack(row: TurnedRow) -> CompactRow:
    """``row`` as bytes; `unpack` gives it back, but for the hold."""
    solution = None
    if row.turns is not None:
        marked = bytearray(row.turns)
        for n in row.mid_slices:
            marked[n] += MID_SLICE
        solution = MarkedTurns(bytes(marked))
    gaps = None
    if row.ends is not None:
        gaps = pack_numbers([*row.ends[:1], *map(sub, row.ends[1:], row.ends)])
    return CompactRow(row.scramble, solution, gaps, row.penalty)


def compact_row(row: Row) -> CompactRow:
    """``row`` without its texts; raises what `read_turns` does."""
    return pack(read_turns(row))


def unpack(row: CompactRow) -> TurnedRow:
    """The row that was packed."""
    turns, mid_slices = None, []
    if row.solution is not None:
        turns = Turns(row.solution.translate(_PLAIN))
        if not _MARKED.isdisjoint(row.solution):
            mid_slices = [n for n, turn in enumerate(row.solution) if turn in _MARKED]
    ends = None if row.gaps is None else tuple(accumulate(unpack_numbers(row.gaps)))
    return _new_row(
        TurnedRow,
        scramble=row.scramble,
        turns=turns,
        mid_slices=mid_slices,
        ends=ends,
        penalty=row.penalty,
    )


def pack_numbers(numbers: Sequence[int]) -> PackedNumbers:
    """The bytes of whole numbers from 0 on."""
    if max(numbers, default=0) < _MORE:
        return PackedNumbers(bytes(numbers))
    packed = bytearray()
    for number in numbers:
        rest = number
        while rest >= _MORE:
            packed.append(rest & 0x7F | _MORE)
            rest >>= 7
        packed.append(rest)
    return PackedNumbers(bytes(packed))


def unpack_numbers(packed: PackedNumbers) -> list[int]:
    """The numbers that `pack_numbers` was given.

    Raises:
        ValueError: The last is cut short.
    """
    numbers = []
    number = shift = 0
    for byte in packed:
        if byte < _MORE:
            numbers.append(number | byte << shift)
            number = shift = 0
        else:
            number |= (byte & 0x7F) << shift
            shift += 7
    if shift:
        raise ValueError("the last of the numbers was cut short")
    return numbers
