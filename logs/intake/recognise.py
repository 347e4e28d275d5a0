"""Whether a file is in one of our own formats, or must be read through a member's mapping."""

from datetime import tzinfo
from itertools import islice

from logs.errors import UploadRejectedError
from logs.intake.content import decode, decode_as, refuse_other_kinds, split_lines
from logs.intake.csv_log import check_header, column_names, read_record, records
from logs.intake.guess import guess_mapping
from logs.intake.mapped import read_mapped
from logs.intake.mapping import faults
from logs.intake.parsed import ReadRow
from logs.intake.sample import guess_encoding, take_sample

_FIRST_ROWS = 50
_SAMPLE_CHARACTERS = 400_000


def needs_mapping(content: bytes, time_zone: tzinfo) -> bool:
    """Whether ``content`` is a table that is not in our own formats.

    What is no table with scrambles in it, such as an archive, needs none: our own reader says what is wrong. A
    CSV file under our own names needs one when none of its first rows can be read as it stands and
    a mapping would read some.
    """
    try:
        refuse_other_kinds(content)
        text = decode_as(content, guess_encoding(content)[0])
    except UploadRejectedError:
        return False
    if text.lstrip()[:1] in ("", "{", "["):
        return False
    own = _is_own(content, time_zone)
    if own is None:
        return _is_table(content)
    return not own and _guess_reads(content, time_zone)


def _is_own(content: bytes, time_zone: tzinfo) -> bool | None:
    """Whether a row can be read under our own names; None when the header has others."""
    try:
        found = records(split_lines(decode(content)[:_SAMPLE_CHARACTERS]))
        header = next(found, None)
        if header is None or header.problem is not None:
            return None
        columns = column_names(header.cells)
        check_header(columns)
    except UploadRejectedError:
        return None
    first = islice(found, _FIRST_ROWS)
    rows = [read_record(record, columns, time_zone) for record in first]
    return not rows or any(isinstance(row, ReadRow) for row in rows)


def _is_table(content: bytes) -> bool:
    try:
        sample = take_sample(content)
    except UploadRejectedError:
        return False
    return any(sample.kinds.is_kind("turns", cell) for row in sample.rows for cell in row)


def _guess_reads(content: bytes, time_zone: tzinfo) -> bool:
    try:
        sample = take_sample(content)
    except UploadRejectedError:
        return False
    mapping = guess_mapping(sample).mapping
    if set(faults(mapping)) == {"date_order"}:
        return True
    return bool(read_mapped(content, mapping, time_zone, limit=_FIRST_ROWS).rows)
