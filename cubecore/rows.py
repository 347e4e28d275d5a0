"""One row of a log: its fields read and checked, its times in whole milliseconds."""

from collections.abc import Mapping
from itertools import pairwise
from typing import NamedTuple, NoReturn

from cubecore.errors import RowError
from cubecore.words import Word

MARK_FIELDS = ("mark_ms", "timed_by", "step_ms")
FIELDS = (
    *("done_at", "scramble", "time", "penalty", "solution", "turn_ms"),
    *MARK_FIELDS,
    "note",
)
MAX_TIME_MS = 3_600_000
PLUS_TWO_MS = 2_000
"""What a +2 adds (WCA Regulations 10e3: two seconds)."""
MAX_NOTE = 500
TIME_SLACK_MS = 50
"""How far the last turn may end after the solve's time: a timer's reading and a turn's end are
taken by different clocks (documented slack, not a published figure). `latest_ms` adds the steps."""
MAX_STEP_MS = 1_000
MARK_NAMES = (
    "the end of the first two layers",
    "the first turn of the OLL",
    "the end of the OLL",
    "the first turn of the PLL",
    "the end of the PLL",
)
"""What the five marks are of, in order."""


class Penalty(Word):
    """The penalty of a solve (WCA Regulations, Articles 10 and A7)."""

    NONE = ""
    PLUS_TWO = "+2"
    DNF = "DNF"


class TimedBy(Word):
    """What the times inside a solve were taken with."""

    SENSOR = "sensor"
    VIDEO = "video"
    HAND = "hand"


class Marks(NamedTuple):
    """Five moments of a solve, in ms from the timer's start; None where there is none.

    Attributes:
        f2l: The first two layers came home.
        oll_turn: The end of the first turn of a layer after that.
        oll: The last layer was oriented.
        pll_turn: The end of the first turn of a layer after that.
        pll: It was solved up to AUF.
    """

    f2l: int | None
    oll_turn: int | None
    oll: int | None
    pll_turn: int | None
    pll: int | None


_PENALTIES = {penalty.value: penalty for penalty in Penalty}


def latest_ms(time_ms: int, step_ms: int | None) -> int:
    """When the last turn of a solve of ``time_ms`` may end, by an instrument of ``step_ms``.

    Its start and its end are each read to a step, so they may lie two steps too far apart.
    """
    return time_ms + TIME_SLACK_MS + 2 * (step_ms or 0)


class Row(NamedTuple):
    """A solve as it was logged.

    Attributes:
        scramble: Turns from the solved cube held white up, green front.
        time_ms: The timer's reading, without the penalty.
        penalty: None, +2 or DNF.
        solution: The turns of the solve, or None when they were not kept.
        turn_ms: End of each turn from the timer's start, or None: one for each token that moves a
            layer, or one for each token.
        mark_ms: Five marks in the place of ``turn_ms``, or None.
        timed_by: What these were taken with; None where the log does not say.
        step_ms: How fine that is, in ms, or None.
        done_at: When, as the log writes it, or None.
        note: The member's own words.
    """

    scramble: str
    time_ms: int
    penalty: Penalty = Penalty.NONE
    solution: str | None = None
    turn_ms: tuple[int, ...] | None = None
    mark_ms: Marks | None = None
    timed_by: TimedBy | None = None
    step_ms: int | None = None
    done_at: str | None = None
    note: str = ""


_new_row = Row.__new__  # by keyword at half the cost of calling the class


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


def parse_mark_ms(value: object) -> Marks | None:
    """The marks of a JSON array with null, or of text with spaces, ``-`` where there is none.

    Raises:
        RowError: They are not five, one is not a whole number from 0 to an hour, or they fall.
    """
    if value is None or value == [] or (isinstance(value, str) and not value.strip()):
        return None
    parts = value
    if isinstance(value, str):
        parts = [None if word == "-" else word for word in value.split()]
    if not isinstance(parts, list) or len(parts) != len(MARK_NAMES):
        n = len(parts) if isinstance(parts, list) else 1
        mend = f"write five whole numbers, - where there is none; there are {n}"
        _refuse("mark_ms_count", "mark_ms", value, mend)
    marks = Marks._make(map(_mark, parts))
    given = [mark for mark in marks if mark is not None]
    for before, after in pairwise(given):
        if after < before:
            mend = f"marks never fall, and {before} stands before it"
            _refuse("falling_mark_ms", "mark_ms", after, mend)
    return marks if given else None


def _mark(value: object) -> int | None:
    if value is None:
        return None
    if isinstance(value, str) and value.isdecimal() and value.isascii() and len(value) <= 8:
        value = int(value)
    if type(value) is not int or not 0 <= value < MAX_TIME_MS:
        _refuse("bad_mark_ms", "mark_ms", value, "write whole milliseconds under an hour")
    return value


def format_mark_ms(mark_ms: Marks | None) -> str:
    """The marks as a log's text; `parse_mark_ms` reads it back."""
    return " ".join("-" if mark is None else str(mark) for mark in mark_ms or ())


def parse_timed_by(value: object) -> TimedBy | None:
    """What a log says that times were taken with; None of nothing.

    Raises:
        RowError: It is none of the three words.
    """
    text = "" if value is None else value
    if isinstance(text, str):
        word = text.strip().lower()
        if not word:
            return None
        if word in _TIMED_BY:
            return _TIMED_BY[word]
    _refuse("bad_timed_by", "timed_by", value, "leave it empty or write sensor, video or hand")


_TIMED_BY = {timed_by.value: timed_by for timed_by in TimedBy}


def parse_step_ms(value: object) -> int | None:
    """How fine times are, in ms: a whole number, or its text.

    Raises:
        RowError: It is no whole number from 1 to a second.
    """
    if value is None or (isinstance(value, str) and not value.strip()):
        return None
    step = value
    if isinstance(value, str) and _is_count(value.strip()):
        step = int(value)
    if type(step) is not int or not 1 <= step <= MAX_STEP_MS:
        _refuse("bad_step_ms", "step_ms", value, "write whole milliseconds, a second at most")
    return step


def _refuse_times(field: str) -> NoReturn:
    raise RowError(
        "times_without_turns",
        f"{field}: there are times but no solution; add the turns or take the times out.",
        field=field,
    )


def _check_marks(marks: Marks, time_ms: int, step_ms: int | None, *, has_turn_ms: bool) -> None:
    """Make sure that marks stand alone and end with the solve.

    Raises:
        RowError: They do not.
    """
    if has_turn_ms:
        raise RowError(
            "two_kinds_of_times",
            "mark_ms: there are turn_ms too; keep one of the two.",
            field="mark_ms",
        )
    last = max(mark for mark in marks if mark is not None)
    if last > latest_ms(time_ms, step_ms):
        raise RowError(
            "mark_after_end",
            f"mark_ms: the last mark is {last} ms, after the solve's {time_ms} ms.",
            field="mark_ms",
        )


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
    solution = _text(values, "solution", 100_000) or None
    turn_ms = parse_turn_ms(values.get("turn_ms"))
    if turn_ms and not solution:
        _refuse_times("turn_ms")
    time_ms = parse_time(values.get("time"))
    mark_ms = parse_mark_ms(values.get("mark_ms"))
    step_ms = parse_step_ms(values.get("step_ms"))
    if mark_ms:
        if not solution:
            _refuse_times("mark_ms")
        _check_marks(mark_ms, time_ms, step_ms, has_turn_ms=turn_ms is not None)
    timed_by = values.get("timed_by")
    return _new_row(
        Row,
        scramble=_text(values, "scramble", 100_000),
        time_ms=time_ms,
        penalty=parse_penalty(values.get("penalty")),
        solution=solution,
        turn_ms=turn_ms,
        mark_ms=mark_ms,
        timed_by=None if timed_by is None else parse_timed_by(timed_by),
        step_ms=step_ms,
        done_at=_text(values, "done_at", 40) or None,
        note=_text(values, "note", MAX_NOTE),
    )
