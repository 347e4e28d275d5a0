"""One cell of a mapped file to what it means. Bounded, and linear in the cell's length.

A number is read to the microsecond and cut, not rounded, to the millisecond, as WCA Regulations 9f1
cut times to the hundredth.
"""

import re
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import NamedTuple

from cubecore.errors import NotationError
from cubecore.notation import parse_tokens
from cubecore.rows import MAX_TIME_MS, PLUS_TWO_MS, Penalty
from logs.intake.mapping import DateOrder, TurnTimes, Unit

MAX_CELL = 60
"""Characters of a cell that holds one time or one date."""
MAX_JUDGED_CHARACTERS = 1_000
"""Characters by which a longer cell is judged."""
_MAX_DIGITS = 9
_US = {Unit.SECONDS: 1_000_000, Unit.CENTISECONDS: 10_000, Unit.MILLISECONDS: 1_000}
_SUFFIXES = {Unit.SECONDS: "s", Unit.CENTISECONDS: "cs", Unit.MILLISECONDS: "ms"}
_MENDS = {
    Unit.SECONDS: "write seconds as 12{0}34 or minutes as 1:02{0}34",
    Unit.CENTISECONDS: "write whole hundredths of a second, 1234 for 12.34",
    Unit.MILLISECONDS: "write whole milliseconds, 12340 for 12.34",
}
# RFC 5322, 3.3: the months of a mail's date are the first three letters of these.
_MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
# Every part has a bound, so there is nothing to go back over for long; cells have one too.
_DATE = re.compile(
    r"(?P<first>\d{1,4})(?:[-/.] ?| )(?P<second>\d{1,2}|[A-Za-z]{3,9}\.?)(?:[-/.] ?| )(?P<third>\d{1,4})\.?",
    re.ASCII,
)
_CLOCK = re.compile(
    r"(?P<hour>\d{1,2})[:.](?P<minute>\d{2})(?:[:.](?P<second>\d{2})(?:[.,](?P<part>\d{1,9}))?)?"
    r" ?(?P<half>[AaPp]\.?[Mm]\.?)?(?: ?(?P<zone>Z|UTC|GMT|[+-]\d{2}:?\d{2}|[+-]\d{2}))?",
    re.ASCII,
)
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


class CellError(ValueError):
    """A cell that cannot be taken.

    Attributes:
        code: Snake-case name of the reason.
        mend: What would be right, in words.
    """

    def __init__(self, code: str, mend: str) -> None:
        super().__init__(mend)
        self.code = code
        self.mend = mend


class TimeCell(NamedTuple):
    """A time with the penalty marked beside it; None where the cell holds no such thing."""

    time_ms: int | None
    penalty: Penalty | None


def read_us(text: str, unit: Unit, decimal_mark: str) -> int:
    """The microseconds of a number of ``unit``; what lies below them is cut off.

    Raises:
        CellError: It is no such number.
    """
    bare = text.strip()
    lowered = bare.lower()
    suffix = _SUFFIXES[unit]
    if lowered.endswith(suffix):
        bare = bare[: -len(suffix)].rstrip()
    whole, mark, decimals = bare.partition(decimal_mark)
    parts = whole.split(":") if unit is Unit.SECONDS else [whole]
    wrong = CellError("bad_time", _MENDS[unit].format(decimal_mark))
    if len(parts) > 3 or not all(map(_is_count, parts)) or (mark and not _is_count(decimals)):
        raise wrong
    numbers = [int(part) for part in parts]
    if any(number > 59 for number in numbers[1:]):
        raise wrong
    total = 0
    for number in numbers:
        total = total * 60 + number
    parted = int(decimals.ljust(_MAX_DIGITS, "0")) * _US[unit] // 10**_MAX_DIGITS if mark else 0
    return total * _US[unit] + parted


def _is_count(text: str) -> bool:
    return text.isdecimal() and text.isascii() and len(text) <= _MAX_DIGITS


def read_time(cell: str, unit: Unit, decimal_mark: str) -> TimeCell:
    """The time of a cell, and the penalty marked in it.

    Marked are ``DNF`` before or after a time, which may stand in brackets, or alone; and ``+``,
    ``+2`` or ``(+2)`` after one.

    Raises:
        CellError: It is no time, or none that a solve can take.
    """
    text = cell.strip()
    if len(text) > MAX_CELL:
        raise CellError("bad_time", _MENDS[unit].format(decimal_mark))
    penalty, text = _marked(text)
    if penalty is Penalty.DNF and not text:
        return TimeCell(None, penalty)
    time_ms = read_us(text, unit, decimal_mark) // 1000
    if not 0 < time_ms < MAX_TIME_MS:
        raise CellError("time_out_of_range", "a solve takes more than 0 and under an hour")
    return TimeCell(time_ms, penalty)


def _marked(text: str) -> tuple[Penalty | None, str]:
    upper = text.upper()
    if upper.startswith(Penalty.DNF) or upper.endswith(Penalty.DNF):
        bare = (text[3:] if upper.startswith(Penalty.DNF) else text[:-3]).strip()
        if bare.startswith("(") and bare.endswith(")"):
            bare = bare[1:-1].strip()
        return Penalty.DNF, bare
    for mark in ("(+2)", "+2", "+"):
        if text.endswith(mark):
            return Penalty.PLUS_TWO, text.removesuffix(mark).rstrip()
    return None, text


def timer_reading(time_ms: int, penalty: Penalty, is_plus_two_in_time: bool | None) -> int:
    """The time as the timer read it, without the two seconds of a +2.

    Raises:
        CellError: Whether they are in it was not said, or nothing is left.
    """
    if penalty is not Penalty.PLUS_TWO:
        return time_ms
    if is_plus_two_in_time is None:
        raise CellError("plus_two_unknown", "say whether a time with +2 has the two seconds in it")
    if is_plus_two_in_time and time_ms <= PLUS_TWO_MS:
        raise CellError("time_out_of_range", "without the two seconds of its +2 nothing is left")
    return time_ms - PLUS_TWO_MS if is_plus_two_in_time else time_ms


def read_moment(cell: str, clock: str, order: DateOrder) -> str:
    """The date of a cell and the time of day of another, or of the same, in ISO 8601.

    Without an offset the text has none; without a time of day it is midnight. Years of two digits
    are of this century.

    Raises:
        CellError: It is no such date.
    """
    text = " ".join(cell.split())
    if order in (DateOrder.UNIX_SECONDS, DateOrder.UNIX_MS):
        return _from_epoch(text, order)
    day, rest = _day(text, order)
    if rest and clock.strip():
        raise CellError("bad_date", "the date has a time of day already; keep one of the two")
    rest = rest or " ".join(clock.split())
    try:
        return (day + _time_of_day(rest)).isoformat() + _offset(rest)
    except (ValueError, OverflowError) as error:
        raise CellError("bad_date", "write the time of day as 18:05 or 18:05:30") from error


def _from_epoch(text: str, order: DateOrder) -> str:
    unit = Unit.SECONDS if order is DateOrder.UNIX_SECONDS else Unit.MILLISECONDS
    whole, mark, part = text.partition(".")
    is_number = whole.isdecimal() and whole.isascii() and len(whole) <= 14
    if not is_number or (mark and not _is_count(part)):
        raise CellError("bad_date", f"write {unit.name.lower()} since the start of 1970")
    us = int(whole) * _US[unit] + int(f"{part:0<9}") * _US[unit] // 10**9
    try:
        return (_EPOCH + timedelta(microseconds=us)).isoformat()
    except OverflowError as error:
        raise CellError("bad_date", f"write {unit.name.lower()} since 1970") from error


_ORDER_WORDS = {
    DateOrder.YEAR_FIRST: "write the date as 2026-03-14, the year first",
    DateOrder.DAY_FIRST: "write the date as 14/03/2026, the day first",
    DateOrder.MONTH_FIRST: "write the date as 03/14/2026, the month first",
}


def split_date(text: str) -> tuple[str, str, str, str] | None:
    """The three parts of the date that ``text`` begins with, and what follows; None if none."""
    date = _DATE.match(text[:MAX_CELL]) if len(text) <= MAX_CELL else None
    if date is None:
        return None
    rest = text[date.end() :]
    bare = rest.lstrip(" ,T")
    if rest and (bare == rest or not bare):
        return None
    return date["first"], date["second"], date["third"], bare


def _day(text: str, order: DateOrder) -> tuple[datetime, str]:
    wrong = CellError("bad_date", _ORDER_WORDS[order])
    parts = split_date(text)
    if parts is None:
        raise wrong
    first, second, third, rest = parts
    year, month, day = {
        DateOrder.YEAR_FIRST: (first, second, third),
        DateOrder.DAY_FIRST: (third, second, first),
        DateOrder.MONTH_FIRST: (third, first, second),
    }[order]
    if second[0].isalpha() and order is not DateOrder.YEAR_FIRST:
        month, day = second, first
    if len(year) not in (2, 4) or (order is DateOrder.YEAR_FIRST and len(year) != 4):
        raise wrong
    number = _month(month) if month[0].isalpha() else int(month)
    try:
        return datetime(int(year) + (2000 if len(year) == 2 else 0), number, int(day)), rest  # noqa: DTZ001 - the zone is the club's, put on by `parse_done_at`
    except ValueError as error:
        raise wrong from error


def _month(name: str) -> int:
    """Its number, from at least three letters of its name; 0 for what is no month."""
    bare = name.lower().rstrip(".")
    numbers = [number for number, full in enumerate(_MONTHS, 1) if full.startswith(bare)]
    return numbers[0] if numbers and len(bare) >= 3 else 0


def _time_of_day(text: str) -> timedelta:
    if not text:
        return timedelta()
    clock = _CLOCK.fullmatch(text) if len(text) <= MAX_CELL else None
    if clock is None:
        raise ValueError(text)
    hour, minute, second = (int(clock[name] or 0) for name in ("hour", "minute", "second"))
    half = (clock["half"] or "")[:1].lower()
    if half:
        if not 1 <= hour <= 12:
            raise ValueError(text)
        hour = hour % 12 + (12 if half == "p" else 0)
    if hour > 23 or minute > 59 or second > 59:
        raise ValueError(text)
    part = int((clock["part"] or "0")[:6].ljust(6, "0"))
    return timedelta(hours=hour, minutes=minute, seconds=second, microseconds=part)


def is_clock(text: str) -> bool:
    """Whether ``text`` is a time of day with its colon."""
    try:
        return ":" in text and _time_of_day(" ".join(text.split())) is not None
    except ValueError:
        return False


def _offset(text: str) -> str:
    clock = _CLOCK.fullmatch(text)
    zone = (clock["zone"] or "") if clock else ""
    return "+00:00" if zone in ("UTC", "GMT") else zone


def split_turn_times(cell: str, separator: str) -> list[str]:
    """The numbers of a cell of turn times; brackets around them do not matter."""
    bare = cell.strip().strip("[](){}")
    parts = bare.split() if separator == " " else bare.split(separator)
    return [part.strip() for part in parts if part.strip()]


def read_turn_times(
    cell: str, *, unit: Unit, decimal_mark: str, kind: TurnTimes, separator: str
) -> list[int]:
    """The end of each turn in whole milliseconds from the start; empty for an empty cell.

    Raises:
        CellError: A part of it is no number of ``unit``.
    """
    numbers: list[int] = []
    for part in split_turn_times(cell, separator):
        try:
            numbers.append(read_us(part, unit, decimal_mark))
        except CellError as error:
            raise CellError("bad_turn_ms", f"{part[:20]!r} is none; {error.mend}") from error
    if kind is TurnTimes.GAPS:
        numbers = running_sums(numbers)
    return [number // 1000 for number in numbers]


def read_marks(cell: str, *, unit: Unit, decimal_mark: str, separator: str) -> list[int | None]:
    """Marks in whole milliseconds from the start; None for each ``-``.

    Raises:
        CellError: A part of it is no number of ``unit``.
    """
    marks: list[int | None] = []
    for part in split_turn_times(cell, separator):
        if part == "-":
            marks.append(None)
            continue
        try:
            marks.append(read_us(part, unit, decimal_mark) // 1000)
        except CellError as error:
            raise CellError("bad_mark_ms", f"{part[:20]!r} is none; {error.mend}") from error
    return marks


def running_sums(numbers: Sequence[int]) -> list[int]:
    """The sums of the first, the first two, ... of ``numbers``."""
    total = 0
    return [total := total + number for number in numbers]


def beginning(cell: str) -> str:
    """The part of a long cell that it is judged by, cut between two words."""
    if len(cell) <= MAX_JUDGED_CHARACTERS:
        return cell
    return cell[:MAX_JUDGED_CHARACTERS].rpartition(" ")[0]


def is_turns(cell: str) -> bool:
    """Whether a cell holds turns, two at least."""
    try:
        return len(cell) > 2 and len(parse_tokens(beginning(cell))) > 1
    except NotationError:
        return False
