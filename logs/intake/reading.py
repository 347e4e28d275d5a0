"""A log to rows and problems, a mended row of it, and whether a log is in one of our own formats."""

from collections.abc import Sequence

from logs.errors import RowProblem, UploadRejectedError
from logs.intake.formats import read_csv, read_json_lines, read_object, read_record, records
from logs.intake.guess import guess_mapping
from logs.intake.mapped import read_mapped, read_mapped_record
from logs.intake.mapping import ColumnMapping, faults
from logs.intake.rows import (
    Clock,
    Format,
    ParsedUpload,
    ReadRow,
    is_storable,
    refuse,
)
from logs.intake.sample import Sample, take_sample
from logs.intake.source import Kind, SourceFile, split_lines

_FIRST_ROWS = 50
"""Rows by which it is told whether a file can be read as it stands."""


def read_upload(
    source: SourceFile, clock: Clock, mapping: ColumnMapping | None = None
) -> ParsedUpload:
    """The file, read row by row, once for each way of reading it; never raises on bad data.

    Args:
        source: The file.
        clock: Against what its dates are read.
        mapping: How to read it when it is not in our own formats.
    """
    if mapping is not None:
        return source.reading((clock, mapping), lambda: read_mapped(source, mapping, clock))
    return source.reading(clock, lambda: _read(source, clock))


def _read(source: SourceFile, clock: Clock) -> ParsedUpload:
    try:
        if source.kind is Kind.WORKBOOK:
            refuse("needs_mapping", "The file is a spreadsheet: say which column holds what.")
        text = source.text
        first = text.lstrip()[:1]
        if first == "[":
            message = "The file is one JSON array; write one object on each line instead."
            refuse("json_array", message)
        lines = split_lines(text)
        return read_json_lines(lines, clock) if first == "{" else read_csv(lines, clock)
    except UploadRejectedError as error:
        return ParsedUpload(refusal=error.problems[0])


def needs_mapping(source: SourceFile, clock: Clock) -> bool:
    """Whether the file is a table, or holds one, that is not in our own formats.

    What has no scrambles in it, such as an archive, needs none: our own reader says what is wrong. A
    file under our own names needs one when none of its first rows can be read as it stands and a
    mapping would read some.
    """
    if source.kind is Kind.OTHER:
        return False
    parsed = read_upload(source, clock)
    if parsed.refusal is None and _reads_first_rows(parsed):
        return False
    sample = _sample(source)
    if sample is None:
        return source.kind is Kind.WORKBOOK
    is_ours = parsed.refusal is None and source.kind is Kind.LINES
    return _guess_reads(source, sample, clock) if is_ours else _has_turns(sample)


def _reads_first_rows(parsed: ParsedUpload) -> bool:
    """Whether one of the first rows could be read, or there is none."""
    places = sorted(
        [(row.line, True) for row in parsed.rows] + [(p.line, False) for p in parsed.problems]
    )
    return not places or any(is_row for _, is_row in places[:_FIRST_ROWS])


def _sample(source: SourceFile) -> Sample | None:
    try:
        return take_sample(source)
    except UploadRejectedError:
        return None


def _has_turns(sample: Sample) -> bool:
    return any(sample.kinds.is_kind("turns", cell) for row in sample.rows for cell in row)


def _guess_reads(source: SourceFile, sample: Sample, clock: Clock) -> bool:
    mapping = guess_mapping(sample).mapping
    if set(faults(mapping)) == {"date_order"}:
        return True
    return bool(read_mapped(source, mapping, clock, limit=_FIRST_ROWS).rows)


def read_mended(
    text: str,
    *,
    format: Format,
    columns: Sequence[str],
    line: int,
    clock: Clock,
    mapping: ColumnMapping | None = None,
) -> ReadRow | RowProblem:
    """One row of a file, as a person has mended it, or what is still wrong with it.

    Args:
        text: The row, in the file's format.
        format: The file's format.
        columns: The names in its header, when it is CSV.
        line: The row's line in the file.
        clock: Against what the file was read.
        mapping: How the file was read, when it was in none of our own formats.
    """
    text = text.strip("\r\n")
    empty = RowProblem(line, "empty_row", "", "The row is empty; write the solve.", text)
    if not text.strip():
        return empty
    if not is_storable(text):
        message = "The row holds a NUL or half a character; write whole characters."
        return RowProblem(line, "bad_character", "", message, "")
    if format is Format.JSON_LINES:
        return read_object(text, line, clock, {})
    separator = "," if mapping is None else mapping.separator
    rows = list(records(split_lines(text), line, separator))
    if not rows:
        return empty
    if len(rows) > 1:
        message = f"These are {len(rows)} rows; mend one row at a time."
        return RowProblem(line, "more_than_one_row", "", message, text)
    if mapping is not None:
        return read_mapped_record(rows[0], mapping, clock)
    return read_record(rows[0], columns, clock)
