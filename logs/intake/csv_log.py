"""CSV logs (RFC 4180): records with their lines and exact text, and the header."""

import csv
from collections.abc import Iterator, Sequence
from datetime import tzinfo
from typing import NamedTuple

from cubecore.rows import FIELDS
from logs.errors import RowProblem
from logs.intake.content import refuse
from logs.intake.guard import unguard_cell
from logs.intake.parsed import MAX_LINE, MAX_ROW_LINES, Format, ParsedUpload, ReadRow
from logs.intake.rows import RowSorter, read_row

REQUIRED = ("scramble", "time")
csv.field_size_limit(MAX_LINE)


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
        found = ", ".join(repr(name[:40]) for name in names[:20])
        hint = ""
        if len(names) == 1 and (";" in names[0] or "\t" in names[0]):
            hint = " Columns are parted by commas here, not by semicolons or tabs."
        refuse(
            "missing_column",
            f"The first line names no column {' and no column '.join(missing)}. Found: {found}."
            f" Needed: {', '.join(REQUIRED)}; also read: done_at, penalty, solution, turn_ms,"
            f" note.{hint}",
        )
    for name in names:
        if name and names.count(name) > 1:
            refuse("duplicate_column", f"The first line names {name[:40]!r} twice; keep one.")


def read_record(record: Record, columns: Sequence[str], time_zone: tzinfo) -> ReadRow | RowProblem:
    """The row of ``record`` under the header ``columns``, or what is wrong with it."""
    if record.problem is not None:
        return record.problem
    line, text, cells, _ = record
    if len(cells) != len(columns):
        message = f"The row has {len(cells)} cells where the header has {len(columns)}."
        return RowProblem(line, "cell_count", "", message, text)
    named = zip(columns, cells, strict=True)
    values = {name: unguard_cell(cell) for name, cell in named if name in FIELDS}
    return read_row(values, line, text, time_zone)


def read_csv(lines: Sequence[str], time_zone: tzinfo) -> ParsedUpload:
    """The CSV file of ``lines``, read.

    Raises:
        UploadRejectedError: Its header cannot be used.
    """
    found = records(lines)
    header = next(found, None)
    if header is None:
        refuse("empty_file", "The file is empty.")
    if header.problem is not None:
        refuse(header.problem.code, f"Line {header.line}: {header.problem.message}")
    columns = column_names(header.cells)
    check_header(columns)
    sorter = RowSorter()
    for record in found:
        sorter.add(read_record(record, columns, time_zone))
    return ParsedUpload(
        format=Format.CSV,
        columns=columns,
        rows=tuple(sorter.rows),
        problems=tuple(sorter.problems),
        unknown_columns=tuple(name for name in columns if name and name not in FIELDS),
    )
