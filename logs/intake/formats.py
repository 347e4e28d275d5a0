"""CSV logs (RFC 4180): records with their lines and exact text, the header, and the way back.

Cells that a spreadsheet would run are guarded on the way out and bare again on the way in. OWASP,
"CSV Injection": a cell that begins with one of ``FORMULA_STARTS`` is taken for a formula; an
apostrophe in front makes it text. A cell that begins with apostrophes and then one of these is
guarded too, which makes the pair exact for every text.

JSON Lines logs, one object on each line, and the way back.
"""

import csv
import io
import json
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from cubecore.errors import CubeError
from cubecore.jsonlines import parse_line
from cubecore.rows import FIELDS, MARK_FIELDS, Row, format_time_exactly
from logs.errors import RowProblem
from logs.intake.rows import (
    MAX_LINE,
    MAX_ROW_LINES,
    Clock,
    Format,
    ParsedUpload,
    ReadRow,
    RowSorter,
    check_characters,
    problem_of,
    read_row,
    refuse,
)

REQUIRED = ("scramble", "time")
csv.field_size_limit(MAX_LINE)
GUARD = "'"
FORMULA_STARTS = frozenset("=+-@\t\r\n＝＋－＠")  # noqa: RUF001 - the full-width forms are meant


class Record(NamedTuple):
    """One record: the number of its first line, its exact text, and its cells or its problem."""

    line: int
    text: str
    cells: list[str]
    problem: RowProblem | None


def records(lines: Sequence[str], first_line: int = 1, separator: str = ",") -> Iterator[Record]:
    """The records of ``lines`` (with their ends), blank ones left out.

    The first of ``lines`` counts as line ``first_line`` of the file; ``separator`` parts cells.

    A record whose quotes do not pair up costs its first line alone; reading goes on at the next.
    """
    at = 0
    while at < len(lines):
        if lines[at].isspace():
            at += 1
            continue
        record, n_lines = _record(lines, at, first_line + at, separator)
        at += n_lines
        if record.problem or any(map(str.strip, record.cells)):
            yield record


def _record(lines: Sequence[str], at: int, line: int, separator: str) -> tuple[Record, int]:
    """The record that begins at ``lines[at]``, and how many lines it has."""
    first = lines[at].rstrip("\r\n")
    if len(first) > MAX_LINE:
        message = f"The line has {len(first):,} characters; at most {MAX_LINE:,} are read."
        return Record(line, first, [], RowProblem(line, "line_too_long", "", message, first)), 1
    reader = csv.reader(lines[at : at + MAX_ROW_LINES], delimiter=separator, strict=True)
    try:
        cells = next(reader)
    except csv.Error as error:
        message = (
            f"The quotes do not pair up ({error}): put quotes around a cell that holds commas,"
            " quotes or line breaks, and double the quotes inside it."
        )
        return Record(line, first, [], RowProblem(line, "bad_quotes", "", message, first)), 1
    text = "".join(lines[at : at + reader.line_num]).rstrip("\r\n")
    return Record(line, text, cells, None), reader.line_num


def column_names(header: Sequence[str]) -> tuple[str, ...]:
    """What the cells of a header name: capitals and spaces around a name do not matter."""
    return tuple(unguard_cell(cell).strip().lower() for cell in header)


def check_header(names: Sequence[str]) -> None:
    """Make sure that rows can be read under ``names``.

    Raises:
        UploadRejectedError: A column is missing or named twice.
    """
    missing = [name for name in REQUIRED if name not in names]
    if missing:
        present = ", ".join(repr(name[:40]) for name in names[:20])
        hint = ""
        if len(names) == 1 and (";" in names[0] or "\t" in names[0]):
            hint = " Columns are parted by commas here, not by semicolons or tabs."
        refuse(
            "missing_column",
            f"The first line names no column {' and no column '.join(missing)}. Found: {present}."
            f" Needed: {', '.join(REQUIRED)}; also read:"
            f" {', '.join(name for name in FIELDS if name not in REQUIRED)}.{hint}",
        )
    for name in names:
        if name and names.count(name) > 1:
            refuse("duplicate_column", f"The first line names {name[:40]!r} twice; keep one.")


def read_record(record: Record, columns: Sequence[str], clock: Clock) -> ReadRow | RowProblem:
    """The row of ``record`` under the header ``columns``, or what is wrong with it."""
    if record.problem is not None:
        return record.problem
    line, text, cells, _ = record
    if len(cells) != len(columns):
        message = f"The row has {len(cells)} cells where the header has {len(columns)}."
        return RowProblem(line, "cell_count", "", message, text)
    named = zip(columns, cells, strict=True)
    values = {name: unguard_cell(cell) for name, cell in named if name in FIELDS}
    return read_row(values, line, text, clock)


def read_csv(lines: Sequence[str], clock: Clock) -> ParsedUpload:
    """The CSV file of ``lines``, read.

    Raises:
        UploadRejectedError: Its header cannot be used.
    """
    rows = records(lines)
    header = next(rows, None)
    if header is None:
        refuse("empty_file", "The file is empty.")
    if header.problem is not None:
        refuse(header.problem.code, f"Line {header.line}: {header.problem.message}")
    columns = column_names(header.cells)
    check_header(columns)
    sorter = RowSorter()
    for record in rows:
        sorter.add(read_record(record, columns, clock))
    return ParsedUpload(
        format=Format.CSV,
        columns=columns,
        rows=tuple(sorter.rows),
        problems=tuple(sorter.problems),
        unknown_columns=tuple(name for name in columns if name and name not in FIELDS),
    )


def _would_run(cell: str) -> bool:
    return cell.lstrip(GUARD)[:1] in FORMULA_STARTS


def guard_cell(cell: str) -> str:
    """``cell``, with an apostrophe in front if a spreadsheet would run it."""
    return GUARD + cell if _would_run(cell) else cell


def unguard_cell(cell: str) -> str:
    """``cell`` as it was before `guard_cell`."""
    return cell[1:] if cell.startswith(GUARD) and _would_run(cell) else cell


def format_csv_line(cells: Sequence[str], separator: str = ",") -> str:
    """The cells as one record with its line end; all quoted, formulas guarded."""
    line = io.StringIO()
    csv.writer(line, delimiter=separator, quoting=csv.QUOTE_ALL).writerow(
        [guard_cell(cell) for cell in cells]
    )
    return line.getvalue()


PLAIN_FIELDS = tuple(name for name in FIELDS if name not in MARK_FIELDS)
"""The columns of a log that says nothing of marks and instruments."""


def guard_line(text: str, separator: str = ",") -> str:
    """A record as it came, without its line end; with a cell that a spreadsheet would run, guarded."""
    lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator))
    if not any(_would_run(cell) for cells in lines for cell in cells):
        return text
    return "".join(format_csv_line(cells, separator) for cells in lines).removesuffix("\r\n")


def format_table(rows: Iterable[Sequence[str]]) -> str:
    """The rows as CSV, a line each: line breaks in cells become spaces, formulas are guarded."""
    text = io.StringIO()
    writer = csv.writer(text)
    for row in rows:
        writer.writerow([guard_cell(" ".join(cell.splitlines())) for cell in row])
    return text.getvalue()


MAX_UNKNOWN_NAMES = 50
_FIELD_NAMES = frozenset(FIELDS)


def read_object(
    text: str, line: int, clock: Clock, unknown: dict[str, None]
) -> ReadRow | RowProblem:
    """The row of one object, or what is wrong with it; names of unknown keys go to ``unknown``."""
    try:
        values = parse_line(text)
        check_characters(values)
    except CubeError as error:
        return problem_of(error, line, text)
    if not values.keys() <= _FIELD_NAMES:
        for name in values:
            if name not in _FIELD_NAMES and len(unknown) < MAX_UNKNOWN_NAMES:
                unknown[_printable(name)] = None
    return read_row(values, line, text, clock)


def _printable(name: str) -> str:
    """``name`` as it can be stored and shown: cut, and escaped where it does not print."""
    cut = name[:40]
    return cut if cut.isprintable() else ascii(cut)[1:-1]


def read_json_lines(lines: Sequence[str], clock: Clock) -> ParsedUpload:
    """The JSON Lines file of ``lines``, read."""
    sorter = RowSorter()
    unknown: dict[str, None] = {}
    for line, ended in enumerate(lines, start=1):
        text = ended.rstrip("\r\n")
        if text.strip():
            sorter.add(read_object(text, line, clock, unknown))
    return ParsedUpload(
        format=Format.JSON_LINES,
        rows=tuple(sorter.rows),
        problems=tuple(sorter.problems),
        unknown_columns=tuple(unknown),
    )


def format_json_line(row: Row) -> str:
    """The row as one line with its line end; keys that would be empty are left out."""
    values = {
        "done_at": row.done_at,
        "scramble": row.scramble,
        "time": format_time_exactly(row.time_ms),
        "penalty": str(row.penalty) or None,
        "solution": row.solution,
        "turn_ms": None if row.turn_ms is None else list(row.turn_ms),
        "mark_ms": None if row.mark_ms is None else list(row.mark_ms),
        "timed_by": None if row.timed_by is None else str(row.timed_by),
        "step_ms": row.step_ms,
        "note": row.note or None,
    }
    present = {key: value for key, value in values.items() if value is not None}
    return json.dumps(present, ensure_ascii=False) + "\n"
