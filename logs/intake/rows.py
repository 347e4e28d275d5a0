"""The fields of one row to a `ReadRow`, or to the problem with it."""

from collections.abc import Mapping
from datetime import tzinfo

from cubecore.errors import CubeError, RowError
from cubecore.rows import FIELDS, parse_row
from logs.errors import RowProblem
from logs.intake.content import refuse
from logs.intake.moments import parse_done_at
from logs.intake.parsed import MAX_ROWS, ReadRow


class RowSorter:
    """Rows and problems of a file, told apart as they come.

    Attributes:
        rows: The rows.
        problems: The problems.
    """

    def __init__(self) -> None:
        self.rows: list[ReadRow] = []
        self.problems: list[RowProblem] = []

    def add(self, read: ReadRow | RowProblem) -> None:
        """Take the next row or problem.

        Raises:
            UploadRejectedError: The file has too many rows.
        """
        if isinstance(read, ReadRow):
            self.rows.append(read)
        else:
            self.problems.append(read)
        if len(self.rows) + len(self.problems) > MAX_ROWS:
            refuse("too_many_rows", f"The file has more than {MAX_ROWS:,} rows. Split it.")


def problem_of(error: CubeError, line: int, text: str) -> RowProblem:
    """``error`` as the problem of the row at ``line``."""
    return RowProblem(line, error.code, error.field or "", error.message, text)


def read_row(
    values: Mapping[str, object], line: int, text: str, time_zone: tzinfo
) -> ReadRow | RowProblem:
    """The row of the fields ``values``, or what is wrong with it."""
    try:
        row = parse_row(values)
        done_at = None if row.done_at is None else parse_done_at(row.done_at, time_zone)
    except CubeError as error:
        return problem_of(error, line, text)
    return ReadRow(line, text, row, done_at)


def check_characters(values: Mapping[str, object]) -> None:
    """Make sure that no text holds what cannot be stored or sent.

    Raises:
        RowError: One holds a NUL or half a surrogate pair.
    """
    for field in FIELDS:
        value = values.get(field)
        if isinstance(value, str) and not is_storable(value):
            raise RowError(
                "bad_character",
                f"{field}: it holds a NUL or half a character; write whole characters.",
                field=field,
            )


def is_storable(text: str) -> bool:
    """Whether ``text`` holds neither NUL nor half a surrogate pair."""
    return "\x00" not in text and not any("\ud800" <= char <= "\udfff" for char in text)
