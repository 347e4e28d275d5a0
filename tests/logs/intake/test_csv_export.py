"""The round trip through CSV is exact, and no cell starts a formula.

The characters are those of OWASP's page "CSV Injection", with their full-width forms; Python's own
csv module reads the cells back (RFC 4180).
"""

import csv
import io
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cubecore.rows import FIELDS, MARK_FIELDS, MAX_TIME_MS, Marks, Penalty, Row, TimedBy
from logs.intake.formats import guard_cell, guard_line, unguard_cell
from logs.intake.reading import read_upload
from logs.intake.rows import Clock
from logs.intake.source import SourceFile
from tests.factories import make_csv

CLOCK = Clock(UTC, datetime(2100, 1, 1, tzinfo=UTC))

DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")  # noqa: RUF001 - the full-width forms are meant
TEXTS = st.text(
    st.one_of(
        st.sampled_from("'=+-@\"',;\r\n\t＝ "),  # noqa: RUF001 - the full-width forms are meant
        st.characters(exclude_categories=["Cs"], exclude_characters="\x00"),
    ),
    max_size=30,
)
NOTES = TEXTS.map(str.strip)
ROWS = st.builds(
    Row,
    scramble=NOTES.filter(bool),
    time_ms=st.integers(1, MAX_TIME_MS - 1),
    penalty=st.sampled_from(Penalty),
    solution=NOTES.filter(bool),
    turn_ms=st.none()
    | st.lists(st.integers(0, MAX_TIME_MS - 1), min_size=1).map(lambda ms: tuple(sorted(ms))),
    mark_ms=st.none(),
    timed_by=st.none() | st.sampled_from(TimedBy),
    step_ms=st.none() | st.integers(1, 1000),
    done_at=st.none() | st.just("2026-03-01T12:00:00Z"),
    note=NOTES,
)
MARKED = st.builds(
    Row._replace,
    ROWS,
    time_ms=st.just(MAX_TIME_MS - 1),
    turn_ms=st.none(),
    mark_ms=st.sampled_from(
        [
            Marks._make(marks)
            for marks in [(0, 1, 2, 3, 4), (None, 7, 7, None, MAX_TIME_MS - 1), (5, *[None] * 4)]
        ]
    ),
)


@given(st.lists(ROWS | MARKED, max_size=5))
def test_rows_come_back_exactly(rows):
    parsed = read_upload(SourceFile(make_csv(rows)), CLOCK)
    assert parsed.problems == ()
    assert [read.row for read in parsed.rows] == rows


@given(st.lists(ROWS, min_size=1, max_size=5))
def test_no_exported_cell_starts_a_formula(rows):
    table = list(csv.reader(io.StringIO(make_csv(rows).decode(), newline=""), strict=True))
    assert table[0] in (list(FIELDS), [name for name in FIELDS if name not in MARK_FIELDS])
    assert not [cell for record in table for cell in record if cell.startswith(DANGEROUS)]


@given(st.lists(TEXTS, min_size=1, max_size=4), st.sampled_from(",;\t"))
def test_a_row_that_is_given_back_starts_no_formula_and_is_else_as_it_came(cells, separator):
    line = io.StringIO()
    csv.writer(line, delimiter=separator).writerow(cells)
    text = line.getvalue().removesuffix("\r\n")
    given_back = guard_line(text, separator)
    table = csv.reader(io.StringIO(given_back, newline=""), delimiter=separator)
    read = [cell for record in table for cell in record]
    assert not [cell for cell in read if cell.startswith(DANGEROUS)]
    if not any(cell.lstrip("'").startswith(DANGEROUS) for cell in cells):
        assert given_back == text
    elif text:
        assert [unguard_cell(cell) for cell in read] == cells


@pytest.mark.parametrize("text", ['=1+1,"never closed', 'a,=HYPERLINK("x")"b', '"a\n,=1', "=\r=1"])
def test_a_row_that_cannot_be_read_starts_none_either(text):
    table = csv.reader(io.StringIO(guard_line(text), newline=""))
    assert not [cell for record in table for cell in record if cell.startswith(DANGEROUS)]


@given(TEXTS)
def test_the_guard_comes_off_every_text(text):
    assert unguard_cell(guard_cell(text)) == text


def test_an_apostrophe_of_the_members_own_stays():
    assert unguard_cell("'tis done") == "'tis done"
    assert guard_cell("'tis done") == "'tis done"
    assert guard_cell("'=1") == "''=1"


@pytest.mark.parametrize("start", DANGEROUS)
def test_each_dangerous_start_is_guarded(start):
    assert guard_cell(start + "1") == f"'{start}1"
    assert guard_cell("1" + start) == "1" + start
