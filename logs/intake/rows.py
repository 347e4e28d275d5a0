"""The rows of a file and the problems with the others, and what makes a row of its fields.

A time without an offset is read in the club's zone. Where clocks go back and the same local time
comes twice, the first of the two is meant (as `datetime.fold` 0 has it). Where clocks go forward
and a local time never comes, the row is set aside: its zone or its clock is wrong. So is a row that
lies more than a day ahead of when its file came: a year or a day and a month were mistaken.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from enum import StrEnum
from typing import NoReturn

from cubecore.errors import CubeError, RowError
from cubecore.rows import FIELDS, Row, parse_row
from logs.errors import RowProblem, UploadRejectedError

MAX_BYTES = 10 * 1024 * 1024
MAX_ROWS = 50_000
MAX_LINES = 500_000
MAX_LINE = 200_000
"""Characters of a line, and of a cell."""
MAX_ROW_LINES = 32
"""Lines of a CSV row whose quoted cells hold line breaks. It bounds what an unclosed quote can
swallow before the row is given up."""
MAX_AHEAD = timedelta(days=1)
"""How far after its file a row may lie: a clock that is wrong, or another part of the world."""
FIRST_YEAR = 1974  # the puzzle was invented in that year (common knowledge, no source)
LAST_YEAR = 2100

# ISO 8601 calendar date and time of day, extended form. Every part has a fixed length, so there is
# nothing to go back over.
_ISO_8601 = re.compile(
    r"\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(:\d{2}([.,]\d{1,6})?)?(Z|[+-]\d{2}(:?\d{2})?)?", re.ASCII
)


@dataclass(frozen=True, slots=True)
class Clock:
    """Against what the dates of a file are read.

    Attributes:
        time_zone: The club's zone, for times without an offset.
        received_at: When the file came.
    """

    time_zone: tzinfo
    received_at: datetime


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


def refuse(code: str, message: str) -> NoReturn:
    """Refuse the file as a whole.

    Raises:
        UploadRejectedError: Always.
    """
    raise UploadRejectedError([RowProblem(0, code, "", message, "")])


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
    values: Mapping[str, object], line: int, text: str, clock: Clock
) -> ReadRow | RowProblem:
    """The row of the fields ``values``, or what is wrong with it."""
    try:
        row = parse_row(values)
        done_at = None if row.done_at is None else parse_done_at(row.done_at, clock)
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


def parse_done_at(text: str, clock: Clock) -> datetime:
    """The instant, in UTC, of an ISO 8601 text with an offset, or local in the clock's zone.

    Raises:
        RowError: It is no such text, a date out of range or ahead, or a time that never came.
    """
    try:
        moment = datetime.fromisoformat(text) if _ISO_8601.fullmatch(text) else None
    except ValueError:
        moment = None
    if moment is None:
        raise RowError(
            "bad_done_at",
            f"done_at: {text!r} is no date with a time;"
            " write 2026-03-07T18:05:00+01:00, or 2026-03-07 18:05:00 in the club's zone.",
            field="done_at",
        )
    if not FIRST_YEAR <= moment.year <= LAST_YEAR:
        raise RowError(
            "done_at_out_of_range",
            f"done_at: {text!r} lies outside the years {FIRST_YEAR} to {LAST_YEAR}.",
            field="done_at",
        )
    instant = _instant(moment, text, clock.time_zone)
    if instant > clock.received_at + MAX_AHEAD:
        raise RowError(
            "done_at_ahead",
            f"done_at: {text!r} lies ahead: the file came on {clock.received_at:%Y-%m-%d};"
            " write the day on which it was done.",
            field="done_at",
        )
    return instant


def _instant(moment: datetime, text: str, time_zone: tzinfo) -> datetime:
    if moment.tzinfo is not None:
        return moment.astimezone(UTC)
    instant = moment.replace(tzinfo=time_zone).astimezone(UTC)
    if instant.astimezone(time_zone).replace(tzinfo=None) != moment:
        raise RowError(
            "done_at_never_came",
            f"done_at: clocks in {time_zone} skipped {text!r};"
            " write the time with its offset, such as +01:00.",
            field="done_at",
        )
    return instant


def format_done_at(instant: datetime) -> str:
    """The instant as a log's text, in UTC; `parse_done_at` reads it back."""
    return instant.astimezone(UTC).isoformat().replace("+00:00", "Z")
