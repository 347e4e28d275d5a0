"""Reads a workbook from its input and writes the sheets' rows as lines of JSON: a process alone.

It takes no more memory and time than it is given; where that is not enough it dies, and
`logs.intake.tables` says so. It knows nothing of the site.
"""

import io
import json
import resource
import sys
from datetime import date, datetime, time, timedelta

from python_calamine import CalamineError, CalamineWorkbook, PasswordError

MAX_MEMORY_BYTES = 768 * 1024 * 1024
MAX_PROCESSOR_S = 20
MAX_CHARACTERS = 30_000_000
MAX_CELLS = 61
"""Cells of a row that are written: one more than can be mapped."""
MAX_SHEETS = 50
MAX_CELL = 20_000


def text_of(value: object) -> str:
    """A cell's value as text: numbers without a float's noise, dates and times in ISO 8601."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return format(value, ".9f").rstrip("0").rstrip(".")
    if isinstance(value, datetime):
        return value.isoformat(" ")
    if isinstance(value, timedelta):
        return str(value)
    if isinstance(value, date | time):
        return value.isoformat()
    return str(value).strip()[:MAX_CELL]


def write_line(value: object) -> int:
    """Write ``value`` as a line of JSON; how many characters that took."""
    return sys.stdout.write(json.dumps(value) + "\n")


def write_sheets(content: bytes, max_rows: int) -> None:
    """Write the sheets of the workbook ``content``."""
    workbook = CalamineWorkbook.from_filelike(io.BytesIO(content))
    n_characters = n_rows = 0
    for name in workbook.sheet_names[:MAX_SHEETS]:
        sheet = workbook.get_sheet_by_name(name)
        write_line({"sheet": name})
        for values in sheet.iter_rows():  # from the sheet's first row on, blank or not
            cells = [text_of(value) for value in values]
            while cells and not cells[-1]:
                cells.pop()
            n_rows += bool(cells)
            n_characters += write_line(cells[:MAX_CELLS])
            if n_rows > max_rows + 100 or n_characters > MAX_CHARACTERS:
                message = f"The spreadsheet has more than {max_rows:,} rows. Split it."
                write_line({"code": "too_many_rows", "message": message})
                return


def main() -> None:
    """Read standard input within bounds."""
    resource.setrlimit(resource.RLIMIT_AS, (MAX_MEMORY_BYTES, MAX_MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (MAX_PROCESSOR_S, MAX_PROCESSOR_S))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    try:
        write_sheets(sys.stdin.buffer.read(), int(sys.argv[1]))
    except PasswordError:
        message = "The spreadsheet is locked by a password. Save it without one."
        write_line({"code": "workbook_locked", "message": message})
    except CalamineError:
        message = "The file is no spreadsheet, or a damaged one. Save it anew, or as CSV."
        write_line({"code": "not_a_workbook", "message": message})


if __name__ == "__main__":
    main()
