"""What is read from a file: its rows, and what is wrong with the others."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from cubecore.rows import Row
from logs.errors import RowProblem

MAX_BYTES = 10 * 1024 * 1024
MAX_ROWS = 50_000
MAX_LINES = 500_000
MAX_LINE = 200_000
"""Characters of a line, and of a cell."""
MAX_ROW_LINES = 32
"""Lines of a CSV row whose quoted cells hold line breaks. It bounds what an unclosed quote can
swallow before the row is given up."""


class Format(StrEnum):
    """How a log is written: RFC 4180, one JSON object on each line, or as a member's mapping says."""

    CSV = "csv"
    JSON_LINES = "jsonl"
    MAPPED = "mapped"

    @property
    def suffix(self) -> str:
        """How the name of such a file ends."""
        return "jsonl" if self is Format.JSON_LINES else "csv"


@dataclass(frozen=True, slots=True)
class ReadRow:
    """A row that could be read.

    Attributes:
        line: 1-based number of its first line.
        text: The row exactly as it stands, without its line end.
        row: Its fields.
        done_at: Its instant in UTC, or None.
    """

    line: int
    text: str
    row: Row
    done_at: datetime | None


@dataclass(frozen=True, slots=True)
class ParsedUpload:
    """A file, read. Each of its rows is in ``rows`` or in ``problems``, in the order of the file.

    Attributes:
        format: What it was taken for; None when it was refused before that.
        columns: Names in a CSV file's header, as written.
        rows: The rows that could be read.
        problems: One for each row that could not.
        unknown_columns: Names of columns or keys that mean nothing here and were not read.
        refusal: Why the file was refused as a whole; then it has neither rows nor problems.
    """

    format: Format | None = None
    columns: tuple[str, ...] = ()
    rows: tuple[ReadRow, ...] = ()
    problems: tuple[RowProblem, ...] = ()
    unknown_columns: tuple[str, ...] = ()
    refusal: RowProblem | None = None

    @property
    def n_rows(self) -> int:
        """How many rows the file has, blank ones aside."""
        return len(self.rows) + len(self.problems)
