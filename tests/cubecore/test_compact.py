"""Rows as bytes: the standard's numbers, and nothing lost that a replay needs."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cubecore.book import default_book
from cubecore.compact import (
    MID_SLICE,
    PackedNumbers,
    compact_row,
    pack,
    pack_numbers,
    read_turns,
    unpack,
    unpack_numbers,
)
from cubecore.errors import NotationError, RowError
from cubecore.replay import replay_row, replay_turns
from cubecore.rows import Penalty, Row
from cubecore.turns import HOME_HOLD
from tests.cubecore.some_rows import all_sorts_of_rows

HOUR_MS = 3_600_000


@pytest.mark.parametrize(
    ("number", "packed"),
    [
        # DWARF 5, section 7.6, the examples of unsigned numbers (values from memory).
        (2, [2]),
        (127, [127]),
        (128, [0x80, 1]),
        (129, [1 + 0x80, 1]),
        (12857, [57 + 0x80, 100]),
    ],
)
def test_numbers_are_packed_as_the_standard_says(number, packed):
    assert list(pack_numbers([number])) == packed


@given(st.lists(st.integers(0, HOUR_MS)))
def test_packed_numbers_come_back(numbers):
    assert list(unpack_numbers(pack_numbers(numbers))) == numbers


def test_a_turn_is_a_byte_and_the_second_half_of_a_slice_is_marked():
    # M is R L' and a rotation (common practice, no source).
    row = Row(scramble="R", time_ms=900, solution="U M U'", turn_ms=(100, 300, 900))
    compact = compact_row(row)
    outer = compact_row(row._replace(solution="U R L' B'", turn_ms=(100, 300, 300, 900)))
    assert compact.solution is not None
    assert outer.solution is not None
    assert len(compact.solution) == 4
    assert [b - a for a, b in zip(outer.solution, compact.solution, strict=True)][2] == MID_SLICE
    assert unpack(compact).mid_slices == [2]
    assert unpack(compact).ends == (100, 300, 300, 900)
    assert outer.gaps == compact.gaps


@settings(max_examples=150)
@given(all_sorts_of_rows())
def test_nothing_that_a_replay_needs_is_lost(row):
    read = read_turns(row)
    assert unpack(pack(read)) == read._replace(hold=HOME_HOLD)
    assert _outcome(lambda: replay_turns(unpack(pack(read)), default_book())) == _outcome(
        lambda: replay_row(row, default_book())
    )


def _outcome(make):
    try:
        return make()
    except ValueError as error:
        return type(error), str(error)


def test_a_row_without_solution_or_times_has_none():
    bare = compact_row(Row(scramble="R U", time_ms=900, penalty=Penalty.DNF))
    assert (bare.solution, bare.gaps, bare.penalty) == (None, None, Penalty.DNF)
    assert compact_row(Row(scramble="R", time_ms=900, solution="R'")).gaps is None
    assert compact_row(Row(scramble="R", time_ms=900, solution="//")).solution == b""


def test_what_cannot_be_read_is_refused_with_its_place():
    row = Row(scramble="R", time_ms=900, solution="R'", turn_ms=(900,))
    with pytest.raises(NotationError) as refused:
        compact_row(row._replace(scramble="R Q"))
    assert (refused.value.field, refused.value.column) == ("scramble", 3)
    with pytest.raises(NotationError) as refused:
        compact_row(row._replace(solution="Q"))
    assert refused.value.field == "solution"
    with pytest.raises(RowError, match="2 times for 1 layer turns"):
        compact_row(row._replace(turn_ms=(800, 900)))
    with pytest.raises(RowError, match="after the solve's 900 ms"):
        compact_row(row._replace(turn_ms=(951,)))


def test_numbers_that_are_cut_short_are_refused():
    # DWARF 5, section 7.6 (see above): 128 is written 0x80 + 0, 1.
    assert pack_numbers([2, 128]) == b"\x02\x80\x01"
    assert list(unpack_numbers(PackedNumbers(b"\x02\x80\x01"))) == [2, 128]
    with pytest.raises(ValueError, match="cut short"):
        list(unpack_numbers(PackedNumbers(b"\x02\x80")))
