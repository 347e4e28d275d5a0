"""Rows to a CSV log that `read_upload` reads back exactly, and that no spreadsheet runs."""

import csv
import io
from collections.abc import Iterable, Sequence

from cubecore.rows import FIELDS, Row, format_time_exactly, format_turn_ms
from logs.intake.guard import guard_cell


def format_csv_line(cells: Sequence[str], separator: str = ",") -> str:
    """The cells as one record with its line end; all quoted, formulas guarded."""
    line = io.StringIO()
    csv.writer(line, delimiter=separator, quoting=csv.QUOTE_ALL).writerow(
        [guard_cell(cell) for cell in cells]
    )
    return line.getvalue()


def format_csv(rows: Iterable[Row]) -> str:
    """The CSV log of ``rows``: a header and one record for each, CRLF at their ends (RFC 4180)."""
    lines = [format_csv_line(FIELDS)]
    lines += [
        format_csv_line(
            (
                row.done_at or "",
                row.scramble,
                format_time_exactly(row.time_ms),
                str(row.penalty),
                row.solution or "",
                format_turn_ms(row.turn_ms),
                row.note,
            )
        )
        for row in rows
    ]
    return "".join(lines)
