"""A log's bytes, or one mended row of it, to rows and problems."""

from collections.abc import Sequence
from datetime import tzinfo

from logs.errors import RowProblem, UploadRejectedError
from logs.intake.content import decode, refuse, split_lines
from logs.intake.csv_log import read_csv, read_record, records
from logs.intake.json_log import read_json_lines, read_object
from logs.intake.mapped import read_mapped, read_mapped_record
from logs.intake.mapping import ColumnMapping
from logs.intake.parsed import Format, ParsedUpload, ReadRow
from logs.intake.rows import is_storable


def read_upload(
    content: bytes, time_zone: tzinfo, mapping: ColumnMapping | None = None
) -> ParsedUpload:
    """The file ``content``, read row by row; never raises on bad data.

    Args:
        content: The file's bytes.
        time_zone: The club's zone, for times without an offset.
        mapping: How to read it when it is not in our own formats.
    """
    if mapping is not None:
        return read_mapped(content, mapping, time_zone)
    try:
        return _read(decode(content), time_zone)
    except UploadRejectedError as error:
        return ParsedUpload(refusal=error.problems[0])


def _read(text: str, time_zone: tzinfo) -> ParsedUpload:
    first = text.lstrip()[:1]
    if first == "[":
        refuse("json_array", "The file is one JSON array; write one object on each line instead.")
    lines = split_lines(text)
    return read_json_lines(lines, time_zone) if first == "{" else read_csv(lines, time_zone)


def read_mended(
    text: str,
    *,
    format: Format,
    columns: Sequence[str],
    line: int,
    time_zone: tzinfo,
    mapping: ColumnMapping | None = None,
) -> ReadRow | RowProblem:
    """One row of a file, as a person has mended it, or what is still wrong with it.

    Args:
        text: The row, in the file's format.
        format: The file's format.
        columns: The names in its header, when it is CSV.
        line: The row's line in the file.
        time_zone: The zone the file was read in.
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
        return read_object(text, line, time_zone, {})
    separator = "," if mapping is None else mapping.separator
    found = list(records(split_lines(text), line, separator))
    if not found:
        return empty
    if len(found) > 1:
        message = f"These are {len(found)} rows; mend one row at a time."
        return RowProblem(line, "more_than_one_row", "", message, text)
    if mapping is not None:
        return read_mapped_record(found[0], mapping, time_zone)
    return read_record(found[0], columns, time_zone)
