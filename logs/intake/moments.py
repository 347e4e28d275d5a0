"""When a solve was done: text to an instant.

A time without an offset is read in the club's zone. Where clocks go back and the same local time
comes twice, the first of the two is meant (as `datetime.fold` 0 has it). Where clocks go forward
and a local time never comes, the row is set aside: its zone or its clock is wrong.
"""

import re
from datetime import UTC, datetime, tzinfo

from cubecore.errors import RowError

FIRST_YEAR = 1974  # the puzzle was invented in that year (common knowledge, no source)
LAST_YEAR = 2100

# ISO 8601 calendar date and time of day, extended form. Every part has a fixed length, so there is
# nothing to go back over.
_SHAPE = re.compile(
    r"\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(:\d{2}([.,]\d{1,6})?)?(Z|[+-]\d{2}(:?\d{2})?)?", re.ASCII
)


def parse_done_at(text: str, time_zone: tzinfo) -> datetime:
    """The instant, in UTC, of an ISO 8601 text with an offset, or local in ``time_zone``.

    Raises:
        RowError: It is no such text, a date out of range, or a local time that never came.
    """
    try:
        moment = datetime.fromisoformat(text) if _SHAPE.fullmatch(text) else None
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
