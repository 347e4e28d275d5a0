"""Every file in fixtures/uploads is read as it should be.

Row numbers were counted by hand in the files. RFC 4180 is the source of what a CSV record is; that
clocks in Oslo skip 02:00-03:00 on 29 March 2026 and repeat it on 25 October is Directive 2000/84/EC
(last Sundays of March and October, 01:00 UTC).
"""

from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from cubecore.rows import Penalty
from logs.intake.reading import read_upload
from logs.intake.rows import Clock, Format, ParsedUpload
from logs.intake.source import SourceFile

UPLOADS = Path(__file__).parents[3] / "fixtures" / "uploads"
CLOCK = Clock(ZoneInfo("Europe/Oslo"), datetime(2100, 1, 1, tzinfo=UTC))

REFUSED = {
    "array.jsonl": ("json_array", "write one object on each line"),
    "blank.csv": ("empty_file", "empty"),
    "duplicate_column.csv": ("duplicate_column", "names 'time' twice"),
    "empty.csv": ("empty_file", "empty"),
    "gzipped.csv": ("not_text", "a gzip archive"),
    "latin1.csv": ("not_utf8", "Line 3: byte c5 is not UTF-8. Save the file as UTF-8."),
    "no_time_column.csv": ("missing_column", "no column time. Found: 'done_at', 'scramble', 'seco"),
    "nul.csv": ("nul_byte", "Line 3: "),
    "open_quote_in_header.csv": ("bad_quotes", "Line 1: "),
    "semicolons.csv": ("missing_column", "parted by commas here, not by semicolons"),
    "utf16.csv": ("not_utf8", "looks like UTF-16"),
    "utf16_unmarked.csv": ("not_utf8", "looks like UTF-16"),
    "zipped.csv": ("not_text", "a ZIP archive"),
}

# Lines that were read, then (line, code, field) of those that were not.
SET_ASIDE: dict[str, tuple[list[int], list[tuple[int, str, str]]]] = {
    "cells.csv": ([2, 6], [(3, "cell_count", ""), (4, "cell_count", "")]),
    "marks.csv": (
        [2, 3],
        [
            (4, "mark_ms_count", "mark_ms"),
            (5, "bad_mark_ms", "mark_ms"),
            (6, "falling_mark_ms", "mark_ms"),
            (7, "mark_after_end", "mark_ms"),
            (8, "bad_timed_by", "timed_by"),
            (9, "bad_step_ms", "step_ms"),
            (10, "times_without_turns", "mark_ms"),
        ],
    ),
    "moments.csv": (
        [2, 8],
        [
            (3, "bad_done_at", "done_at"),
            (4, "bad_done_at", "done_at"),
            (5, "bad_done_at", "done_at"),
            (6, "done_at_out_of_range", "done_at"),
            (7, "done_at_never_came", "done_at"),
            (9, "bad_done_at", "done_at"),
        ],
    ),
    "objects.jsonl": (
        [1, 15],
        [
            (2, "bad_json", ""),
            (3, "bad_json", ""),
            (4, "duplicate_key", ""),
            (5, "bad_json", ""),
            (6, "not_text", "scramble"),
            (7, "bad_time", "time"),
            (8, "bad_time", "time"),
            (9, "bad_character", "note"),
            (10, "bad_character", "note"),
            (11, "bad_json", ""),
            (12, "missing_field", "time"),
            (13, "bad_turn_ms", "turn_ms"),
            (14, "bad_penalty", "penalty"),
        ],
    ),
    "penalties.csv": (
        [2, 5],
        [
            (3, "bad_penalty", "penalty"),
            (4, "bad_penalty", "penalty"),
            (6, "bad_penalty", "penalty"),
        ],
    ),
    "quotes.csv": ([2, 5, 7], [(4, "bad_quotes", ""), (6, "bad_quotes", "")]),
    "solutions.csv": ([2, 3, 4, 5, 6, 7, 8, 9], []),  # notation is the engine's, see services
    "times.csv": (
        [2],
        [
            (3, "bad_time", "time"),
            (4, "time_out_of_range", "time"),
            (5, "bad_time", "time"),
            (6, "bad_time", "time"),
            (7, "time_out_of_range", "time"),
            (8, "bad_time", "time"),
            (9, "bad_time", "time"),
            (10, "missing_field", "time"),
        ],
    ),
    "turn_times.csv": (
        [5, 6],
        [
            (2, "falling_turn_ms", "turn_ms"),
            (3, "bad_turn_ms", "turn_ms"),
            (4, "times_without_turns", "turn_ms"),
        ],
    ),
}


def _read(folder: str, name: str) -> ParsedUpload:
    return read_upload(SourceFile((UPLOADS / folder / name).read_bytes()), CLOCK)


def test_every_broken_file_has_its_expected_problems_here():
    names = {path.name for path in (UPLOADS / "broken").iterdir()}
    assert names == REFUSED.keys() | SET_ASIDE.keys()


@pytest.mark.parametrize("name", REFUSED)
def test_a_file_of_which_nothing_can_be_read_is_refused_whole(name):
    parsed = _read("broken", name)
    code, words = REFUSED[name]
    assert parsed.refusal is not None
    assert (parsed.refusal.line, parsed.refusal.code) == (0, code)
    assert words in parsed.refusal.message
    assert parsed.n_rows == 0


@pytest.mark.parametrize("name", SET_ASIDE)
def test_bad_rows_are_set_aside_with_line_reason_and_exact_text(name):
    parsed = _read("broken", name)
    taken, problems = SET_ASIDE[name]
    assert parsed.refusal is None
    assert [row.line for row in parsed.rows] == taken
    assert [(p.line, p.code, p.field) for p in parsed.problems] == problems
    lines = (UPLOADS / "broken" / name).read_text("utf-8").split("\n")
    for problem in parsed.problems:
        assert problem.message
        assert problem.text == lines[problem.line - 1]


def test_a_repeated_local_time_is_the_first_of_the_two():
    row = next(row for row in _read("broken", "moments.csv").rows if row.line == 8)
    assert row.done_at == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)


def test_a_csv_file_with_every_column_is_read_field_by_field():
    parsed = _read("valid", "timed.csv")
    assert parsed.format is Format.CSV
    assert parsed.problems == ()
    assert [row.line for row in parsed.rows] == [2, 3, 4]
    assert [row.done_at for row in parsed.rows] == [
        datetime(2026, 3, 2, 17, 5, tzinfo=UTC),
        datetime(2026, 3, 2, 17, 6, 30, tzinfo=UTC),
        datetime(2026, 3, 2, 17, 8, tzinfo=UTC),  # local, Oslo is an hour ahead in winter
    ]
    assert parsed.rows[2].row.note == "æøå ångström"
    assert parsed.rows[0].row.turn_ms is not None
    assert parsed.rows[2].row.turn_ms is None


def test_scramble_and_time_are_enough():
    parsed = _read("valid", "least.csv")
    assert [row.row.time_ms for row in parsed.rows] == [12_340, 62_340]
    assert {row.row.solution for row in parsed.rows} == {None}


def test_order_capitals_byte_order_mark_and_old_line_ends_do_not_matter():
    parsed = _read("valid", "other_order.csv")
    assert parsed.unknown_columns == ("device",)
    first, second = parsed.rows
    assert (first.line, second.line) == (2, 5)
    assert first.row.note == 'two lines\rof "note"'
    assert first.text.startswith('"two lines\rof ""note""",9.87,')
    assert first.text.endswith('\r",home')


def test_the_guard_of_exported_cells_is_taken_off():
    (row,) = _read("valid", "guarded.csv").rows
    assert (row.row.penalty, row.row.note) == (Penalty.PLUS_TWO, "=cosy")


def test_json_lines_are_known_by_content_and_blank_lines_are_no_rows():
    parsed = _read("valid", "sensor.jsonl")
    assert parsed.format is Format.JSON_LINES
    assert [row.line for row in parsed.rows] == [1, 3, 4]
    assert [row.row.penalty for row in parsed.rows] == ["", "+2", "DNF"]
    assert parsed.unknown_columns == ("battery",)
