"""One row of a log: its fields read and checked, its times in whole milliseconds."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import NoReturn

from cubecore.errors import RowError
from cubecore.words import Word

FIELDS = ("done_at", "scramble", "time", "penalty", "solution", "turn_ms", "note")
MAX_TIME_MS = 3_600_000
PLUS_TWO_MS = 2_000
"""What a +2 adds (WCA Regulations 10e3: two seconds)."""
MAX_NOTE = 500
TIME_SLACK_MS = 50
"""How far the last turn may end after the solve's time: a timer's reading and a turn's end are
taken by different clocks (documented slack, not a published figure)."""


class Penalty(Word):
    """The penalty of a solve (WCA Regulations, Articles 10 and A7)."""

    NONE = ""
    PLUS_TWO = "+2"
    DNF = "DNF"


_PENALTIES = {penalty.value: penalty for penalty in Penalty}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A solve as it was logged.

    Attributes:
        scramble: Turns from the solved cube held white up, green front.
        time_ms: The timer's reading, without the penalty.
        penalty: None, +2 or DNF.
        solution: The turns of the solve, or None when they were not kept.
        turn_ms: End of each turn from the timer's start, or None: one for each token that moves a
            layer, or one for each token.
        done_at: When, as the log writes it, or None.
        note: The member's own words.
    """

    scramble: str
    time_ms: int
    penalty: Penalty = Penalty.NONE
    solution: str | None = None
    turn_ms: tuple[int, ...] | None = None
    done_at: str | None = None
    note: str = ""


def _refuse(code: str, field: str, token: object, mend: str) -> NoReturn:
    shown = str(token)
    shown = shown if len(shown) <= 40 else shown[:40] + "…"
    raise RowError(code, f"{field}: {shown!r} cannot be taken; {mend}.", field=field, token=shown)


def parse_time(value: object) -> int:
    """The milliseconds of ``12.34`` or ``1:02.34`` (text), or of a JSON number of seconds.

    Raises:
        RowError: It is not a time, has more than three decimals, or is an hour or more.
    """
    mend = "write seconds as 12.34 or minutes as 1:02.34"
    if type(value) is int or type(value) is float:
        value = format(value, "f").rstrip("0") if type(value) is float else str(value)
    if not isinstance(value, str):
        _refuse("bad_time", "time", value, mend)
    whole, point, decimals = value.strip().partition(".")
    minutes, colon, seconds = whole.rpartition(":")
    minutes = minutes if colon else "0"
    decimals = decimals if point and decimals else "0"
    is_time = _is_count(minutes) and _is_count(seconds) and _is_count(decimals)
    if not is_time or len(decimals) > 3 or (colon and int(seconds) > 59):
        _refuse("bad_time", "time", value, mend)
    time_ms = (int(minutes) * 60 + int(seconds)) * 1000 + int(decimals.ljust(3, "0"))
    if not 0 < time_ms < MAX_TIME_MS:
        _refuse("time_out_of_range", "time", value, "a solve takes more than 0 and under an hour")
    return time_ms


def _is_count(text: str) -> bool:
    return text.isdecimal() and text.isascii() and len(text) <= 6


def format_time(time_ms: int) -> str:
    """``12.34`` or ``1:02.34``, truncated to the hundredth (WCA Regulations 9f1)."""
    minutes, rest = divmod(time_ms // 10, 6000)
    seconds, hundredths = divmod(rest, 100)
    if minutes:
        return f"{minutes}:{seconds:02}.{hundredths:02}"
    return f"{seconds}.{hundredths:02}"


def format_time_exactly(time_ms: int) -> str:
    """The time with its milliseconds, as a log keeps it; `parse_time` reads it back."""
    minutes, rest = divmod(time_ms, 60_000)
    seconds = f"{rest // 1000:02}.{rest % 1000:03}"
    return f"{minutes}:{seconds}" if minutes else seconds.removeprefix("0")


def _text(values: Mapping[str, object], field: str, limit: int) -> str:
    value = values.get(field)
    if value is None:
        return ""
    if not isinstance(value, str):
        _refuse("not_text", field, value, "write it as text")
    if len(value) > limit:
        _refuse("text_too_long", field, value, f"at most {limit} characters are read")
    return value.strip()


def parse_penalty(value: object) -> Penalty:
    """The penalty of empty, ``+2`` or ``DNF`` (any case).

    Raises:
        RowError: Anything else.
    """
    text = "" if value is None else value
    if isinstance(text, str):
        penalty = _PENALTIES.get(text.strip().upper())
        if penalty is not None:
            return penalty
    _refuse("bad_penalty", "penalty", value, "leave it empty or write +2 or DNF")


def parse_turn_ms(value: object) -> tuple[int, ...] | None:
    """The milliseconds of a JSON array, or of text with spaces between whole numbers.

    Raises:
        RowError: Something is not a whole number from 0 to an hour, or the numbers fall.
    """
    if value is None or value == [] or (isinstance(value, str) and not value.strip()):
        return None
    times = _whole_numbers(value)
    if sorted(times) != times:
        before, after = next(pair for pair in pairwise(times) if pair[1] < pair[0])
        mend = f"times never fall, and {before} stands before it"
        _refuse("falling_turn_ms", "turn_ms", after, mend)
    if times and not 0 <= times[0] <= times[-1] < MAX_TIME_MS:
        wrong = times[0] if times[0] < 0 else times[-1]
        _refuse("bad_turn_ms", "turn_ms", wrong, "write whole milliseconds under an hour")
    return tuple(times) or None


def _whole_numbers(value: object) -> list[int]:
    if isinstance(value, str):
        words = value.split()
        digits = "".join(words)
        if not (digits.isdecimal() and digits.isascii()) or max(map(len, words)) > 8:
            wrong = next(w for w in words if len(w) > 8 or not (w.isdecimal() and w.isascii()))
            _refuse("bad_turn_ms", "turn_ms", wrong, "write whole milliseconds with spaces")
        return list(map(int, words))
    if not isinstance(value, list):
        _refuse("bad_turn_ms", "turn_ms", value, "write an array of whole milliseconds")
    if not {int}.issuperset(map(type, value)):
        wrong = next(item for item in value if type(item) is not int)
        _refuse("bad_turn_ms", "turn_ms", wrong, "write whole milliseconds under an hour")
    return value


def format_turn_ms(turn_ms: tuple[int, ...] | None) -> str:
    """The milliseconds as a log's text; `parse_turn_ms` reads it back."""
    return " ".join(map(str, turn_ms or ()))


def parse_row(values: Mapping[str, object]) -> Row:
    """The row of a log's fields (JSON values or the texts of a CSV file).

    Raises:
        RowError: A required field is missing or a field is malformed; names field and mend.
    """
    for field in ("scramble", "time"):
        if values.get(field) in (None, ""):
            raise RowError(
                "missing_field", f"{field}: it is empty; every row needs one.", field=field
            )
    turn_ms = parse_turn_ms(values.get("turn_ms"))
    solution = _text(values, "solution", 100_000) or None
    if turn_ms and not solution:
        raise RowError(
            "times_without_turns",
            "turn_ms: there are times but no solution; add the turns or take the times out.",
            field="turn_ms",
        )
    return Row(
        scramble=_text(values, "scramble", 100_000),
        time_ms=parse_time(values.get("time")),
        penalty=parse_penalty(values.get("penalty")),
        solution=solution,
        turn_ms=turn_ms,
        done_at=_text(values, "done_at", 40) or None,
        note=_text(values, "note", MAX_NOTE),
    )
