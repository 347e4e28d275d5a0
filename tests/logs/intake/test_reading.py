"""Any bytes at all are read without an error, and every row is accounted for."""

import json
import time
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logs.errors import RowProblem
from logs.intake import rows as bounds
from logs.intake.reading import read_mended, read_upload
from logs.intake.rows import Clock, Format, ReadRow
from logs.intake.source import SourceFile

CLOCK = Clock(UTC, datetime(2100, 1, 1, tzinfo=UTC))

HEADER = "scramble,time,penalty,solution,turn_ms,note"
COLUMNS = tuple(HEADER.split(","))
PIECES = st.sampled_from(
    [HEADER, "R U F", "1.23", "+2", "DNF", ",", ",,", '"', '""', "\n", "\r\n", "\r", "\ufeff", "{",
     '{"scramble": "R", "time": 1}', "}", "[", "\\u0000", "\x00", "ÿ", "\u2028", "'", "=1", " "]
)  # fmt: skip


def _texts_stand_where_they_are_said_to(content: bytes) -> None:
    parsed = read_upload(SourceFile(content), CLOCK)
    if parsed.refusal is not None:
        assert parsed.n_rows == 0
        return
    text = content.decode().removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    lines = text.split("\n")
    reads: list[ReadRow | RowProblem] = sorted(
        (*parsed.rows, *parsed.problems), key=lambda read: read.line
    )
    numbers = [read.line for read in reads]
    assert len(set(numbers)) == len(numbers)
    covered = set()
    for read in reads:
        own = read.text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        assert lines[read.line - 1 : read.line - 1 + len(own)] == own
        covered |= set(range(read.line, read.line + len(own)))
    header = {1} if parsed.format is Format.CSV else set()
    for number, line in enumerate(lines, start=1):
        if number not in covered | header:  # nothing was dropped: what is in no row holds nothing
            assert not line.replace(",", "").replace('"', "").strip() or (
                parsed.format is Format.CSV and number <= _header_end(lines)
            )


def _header_end(lines: list[str]) -> int:
    """The line that names the columns, blank ones before it."""
    return next(i for i, line in enumerate(lines, start=1) if "scramble" in line.lower())


@given(st.binary(max_size=300))
def test_any_bytes_are_read(content):
    _texts_stand_where_they_are_said_to(content)


@given(st.lists(PIECES, max_size=40))
def test_any_mixture_of_a_logs_parts_is_read(pieces):
    _texts_stand_where_they_are_said_to((HEADER + "\n" + "".join(pieces)).encode())


@given(st.lists(PIECES, max_size=40))
def test_any_mixture_of_json_lines_is_read(pieces):
    _texts_stand_where_they_are_said_to(
        ('{"scramble": "R U", "time": 1}\n' + "".join(pieces)).encode()
    )


@given(st.integers(0, 200))
def test_a_file_cut_anywhere_loses_no_row_before_the_cut(cut):
    content = (HEADER + "\n" + "R U F,1.23,,,,fine\n" * 5).encode()
    parsed = read_upload(SourceFile(content[:cut]), CLOCK)
    if parsed.refusal is None:
        n_whole = max(content[:cut].count(b"\n") - 1, 0)
        assert len(parsed.rows) >= n_whole
        assert parsed.n_rows <= n_whole + 1


def test_a_row_after_an_unclosed_quote_is_still_read():
    text = HEADER + '\nR,1,,,,"open\n' + "R U,2,,,,\n" * 3
    parsed = read_upload(SourceFile(text.encode()), CLOCK)
    assert [p.line for p in parsed.problems] == [2]
    assert [row.line for row in parsed.rows] == [3, 4, 5]


def _refusal_code(content: bytes) -> str:
    refusal = read_upload(SourceFile(content), CLOCK).refusal
    assert refusal is not None
    return refusal.code


def test_the_bounds_are_kept():
    over = b"x" * (bounds.MAX_BYTES + 1)
    assert _refusal_code(over) == "file_too_large"
    many = (HEADER + "\n" + "R,1,,,,\n" * (bounds.MAX_ROWS + 1)).encode()
    assert _refusal_code(many) == "too_many_rows"
    blank = (HEADER + "\n" * (2 * bounds.MAX_LINES + 1)).encode()
    assert _refusal_code(blank) == "too_many_lines"
    long = f"{HEADER}\n{'R ' * bounds.MAX_LINE},1,,,,\nR U,1,,,,\n".encode()
    parsed = read_upload(SourceFile(long), CLOCK)
    assert [(p.line, p.code) for p in parsed.problems] == [(2, "line_too_long")]
    assert [row.line for row in parsed.rows] == [3]


@pytest.mark.parametrize(
    "content",
    [
        (HEADER + "\n" + 'a","\n' * 2_000_000).encode(),
        (HEADER + "\n" + ('a","' + "x" * 190 + "\n") * 50_000).encode(),
        (HEADER + "\n" + "," * 10_000_000).encode(),
        b'{"a":' * 2_000_000,
        b"[" * 1_000_000,
        (json.dumps({"scramble": "R", "time": 1}) + "\n").encode() * 49_000,
        b'{"scramble": "R", "time": ' + b"9" * 1_000_000 + b"}",
        b"\r" * 900_000,
        b'"' * 9_000_000,
    ],
    ids=["quotes", "wide quotes", "commas", "nesting", "arrays", "rows", "digits", "ends", "quote"],
)
def test_hostile_shapes_take_a_few_seconds_at_most(content):
    """A guard against quadratic time, wide of any machine's speed."""
    started = time.perf_counter()
    read_upload(SourceFile(content), CLOCK)
    assert time.perf_counter() - started < 8


def _mend(text: str, format: Format = Format.CSV) -> ReadRow | RowProblem:
    return read_mended(text, format=format, columns=COLUMNS, line=9, clock=CLOCK)


def test_a_mended_row_is_read_in_its_files_format_and_keeps_its_line():
    read = _mend('R U,1.5,,,,"a note\nof two lines"\r\n')
    assert isinstance(read, ReadRow)
    assert (read.line, read.row.time_ms, read.row.note) == (9, 1500, "a note\nof two lines")
    read = _mend('{"scramble": "R U", "time": 1.5}', Format.JSON_LINES)
    assert isinstance(read, ReadRow)
    assert (read.line, read.row.time_ms) == (9, 1500)


@pytest.mark.parametrize(
    ("text", "format", "code"),
    [
        (" \n", Format.CSV, "empty_row"),
        (',"",,,,', Format.CSV, "empty_row"),
        ("R U,1,,,,\nR,2,,,,", Format.CSV, "more_than_one_row"),
        (",,,,,", Format.CSV, "empty_row"),
        ("R U,1", Format.CSV, "cell_count"),
        ('R U,1,,,,"open', Format.CSV, "bad_quotes"),
        ("R U,x,,,,", Format.CSV, "bad_time"),
        ("R\x00,1,,,,", Format.CSV, "bad_character"),
        ("{", Format.JSON_LINES, "bad_json"),
    ],
)
def test_what_is_still_wrong_is_said_with_the_rows_line(text, format, code):
    problem = _mend(text, format)
    assert isinstance(problem, RowProblem)
    assert (problem.line, problem.code) == (9, code)
