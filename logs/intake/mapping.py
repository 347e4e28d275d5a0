"""How a member's own CSV file is to be read: which column is what, and in which form."""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any

from cubecore.rows import Penalty

ENCODINGS = {
    "utf-8": "UTF-8",
    "utf-16": "UTF-16",
    "cp1252": "Western European (Windows-1252)",
    "latin-1": "Western European (ISO 8859-1)",
    "cp1250": "Central European (Windows-1250)",
    "cp1251": "Cyrillic (Windows-1251)",
    "shift_jis": "Japanese (Shift JIS)",
    "gb18030": "Chinese (GB 18030)",
    "euc_kr": "Korean (EUC-KR)",
}
SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "upright bar"}
DECIMAL_MARKS = {".": "point, 12.34", ",": "comma, 12,34"}
TURN_SEPARATORS = {" ": "spaces", ",": "commas", ";": "semicolons", "|": "bars", "/": "slashes"}
MAX_COLUMNS = 60
"""Columns of a file that can be mapped; a page with more of them could not be filled in."""
MAX_BEFORE = 20
"""Rows above the header that can be passed over."""
MAX_WORDS = 12
"""Words for penalties that can be told apart."""
MAX_TABLE_NAME = 200
"""Characters of the name of a sheet or of a list in JSON that are kept."""
MAX_NAME = 60
"""Characters of a column's name that are kept."""


class Role(StrEnum):
    """What a column holds."""

    SCRAMBLE = "scramble"
    TIME = "time"
    PENALTY = "penalty"
    SOLUTION = "solution"
    TURN_MS = "turn_ms"
    MARK_MS = "mark_ms"
    TIMED_BY = "timed_by"
    STEP_MS = "step_ms"
    DONE_AT = "done_at"
    CLOCK = "clock"
    NOTE = "note"


class Unit(StrEnum):
    """What a time counts; seconds may have minutes and hours before them, with colons between."""

    SECONDS = "s"
    CENTISECONDS = "cs"
    MILLISECONDS = "ms"


class DateOrder(StrEnum):
    """How a date is written; the last two count from the start of 1970 in UTC (POSIX)."""

    YEAR_FIRST = "ymd"
    DAY_FIRST = "dmy"
    MONTH_FIRST = "mdy"
    UNIX_SECONDS = "unix_s"
    UNIX_MS = "unix_ms"


class TurnTimes(StrEnum):
    """Whether turn times are the ends of the turns from the start, or the gap before each end."""

    ENDS = "ends"
    GAPS = "gaps"


@dataclass(frozen=True, slots=True)
class Meaning:
    """A word of a penalty column and what it means.

    Attributes:
        word: The word; capitals do not matter.
        means: The penalty that it stands for.
    """

    word: str
    means: Penalty


@dataclass(frozen=True, slots=True)
class ColumnMapping:
    """How to read a file. What is null is still to be answered.

    Attributes:
        encoding: What its letters are written in.
        separator: What stands between two cells.
        roles: What each column holds; null for one that is not read.
        names: The cells of the header; empty when there is none.
        n_before: Rows above the header, or above the first solve, that are passed over.
        decimal_mark: What decimals begin with, in times and in turn times.
        time_unit: What the time counts.
        date_order: How a date is written.
        penalties: Words of the penalty column with what they mean.
        is_plus_two_in_time: Whether the time of a solve with +2 has the two seconds in it.
        turn_unit: What turn times, and marks, count.
        turn_times: Whether they are ends or gaps; marks are ends.
        turn_separator: What stands between two of them.
        table: Which table of a workbook or of JSON is read; empty for a file of lines.
    """

    encoding: str
    separator: str
    roles: tuple[Role | None, ...]
    names: tuple[str, ...] = ()
    n_before: int = 0
    decimal_mark: str = "."
    time_unit: Unit | None = None
    date_order: DateOrder | None = None
    penalties: tuple[Meaning, ...] = ()
    is_plus_two_in_time: bool | None = None
    turn_unit: Unit = Unit.MILLISECONDS
    turn_times: TurnTimes = TurnTimes.ENDS
    turn_separator: str = " "
    table: str = ""

    @property
    def has_header(self) -> bool:
        """Whether a row of names stands above the solves."""
        return bool(self.names)

    def place(self, role: Role) -> int | None:
        """Which column holds ``role``, from 0; None when none does."""
        return self.roles.index(role) if role in self.roles else None

    def column(self, index: int) -> str:
        """A column as messages name it: ``column 2 “Zeit”``."""
        name = self.names[index] if index < len(self.names) else ""
        return f"column {index + 1} “{name}”" if name else f"column {index + 1}"


def header_key(mapping: ColumnMapping) -> str:
    """What files of the same shape share, in hex: the header's names, or the count of columns."""
    names = [name.strip().casefold() for name in mapping.names] or [str(len(mapping.roles))]
    parts = ["named" if mapping.names else "unnamed", *names]
    return hashlib.sha256("\x1f".join(parts).encode("utf-8", "replace")).hexdigest()


def faults(mapping: ColumnMapping) -> dict[str, str]:
    """What keeps a file from being read by ``mapping``, by the field it is about; empty if nothing."""
    messages = _column_faults(mapping)
    if mapping.time_unit is None:
        messages["time_unit"] = "Say what the times count."
    if mapping.date_order is None and Role.DONE_AT in mapping.roles:
        messages["date_order"] = "Say how the dates are written."
    return messages


def _column_faults(mapping: ColumnMapping) -> dict[str, str]:
    roles = mapping.roles
    twice = next((role for role in Role if roles.count(role) > 1), None)
    missing = [role.value for role in (Role.SCRAMBLE, Role.TIME) if role not in roles]
    message = ""
    if missing:
        message = f"Say which column holds the {' and which the '.join(missing)}."
    elif twice:
        message = f"Two columns are marked as {ROLE_WORDS[twice]}; choose one."
    elif Role.CLOCK in roles and Role.DONE_AT not in roles:
        message = "A time of day needs its date: say which column holds that."
    elif Role.TURN_MS in roles and Role.SOLUTION not in roles:
        message = "Turn times need their turns: say which column holds the solution."
    elif Role.MARK_MS in roles and Role.SOLUTION not in roles:
        message = "Marks need their turns: say which column holds the solution."
    return {"roles": message} if message else {}


def meanings(answers: Iterable[Meaning], others: Iterable[Meaning]) -> tuple[Meaning, ...]:
    """What penalty words mean: by the answers, then as in other files, ``MAX_WORDS`` at most."""
    words: dict[str, Meaning] = {}
    for meaning in (*answers, *others):
        words.setdefault(meaning.word.casefold(), meaning)
    return tuple(words.values())[:MAX_WORDS]


ROLE_WORDS = {
    Role.SCRAMBLE: "the scramble",
    Role.TIME: "the time",
    Role.PENALTY: "the penalty",
    Role.SOLUTION: "the solution",
    Role.TURN_MS: "the turn times",
    Role.MARK_MS: "the five marks",
    Role.TIMED_BY: "what times were taken with",
    Role.STEP_MS: "how fine they are, in ms",
    Role.DONE_AT: "the date, or date and time",
    Role.CLOCK: "the time of day alone",
    Role.NOTE: "the note",
}


def mapping_to_json(mapping: ColumnMapping) -> dict[str, Any]:
    """The mapping as plain JSON values; `mapping_from_json` reads it back."""
    return asdict(mapping) | {
        "roles": list(mapping.roles),
        "names": list(mapping.names),
        "penalties": [[meaning.word, str(meaning.means)] for meaning in mapping.penalties],
    }


def mapping_from_json(data: Mapping[str, Any]) -> ColumnMapping:
    """The mapping of `mapping_to_json`.

    Raises:
        ValueError: It is none: a value is missing, or not one of those there are.
    """
    try:
        in_time = data["is_plus_two_in_time"]
        mapping = ColumnMapping(
            encoding=_choice(data["encoding"], ENCODINGS),
            separator=_choice(data["separator"], SEPARATORS),
            roles=tuple(None if role is None else Role(role) for role in data["roles"]),
            names=_texts(data["names"]),
            n_before=int(data["n_before"]),
            decimal_mark=_choice(data["decimal_mark"], DECIMAL_MARKS),
            time_unit=None if data["time_unit"] is None else Unit(data["time_unit"]),
            date_order=None if data["date_order"] is None else DateOrder(data["date_order"]),
            penalties=tuple(
                Meaning(str(word), Penalty(means)) for word, means in data["penalties"]
            ),
            is_plus_two_in_time=in_time if in_time is None else bool(in_time),
            turn_unit=Unit(data["turn_unit"]),
            turn_times=TurnTimes(data["turn_times"]),
            turn_separator=_choice(data["turn_separator"], TURN_SEPARATORS),
            table=str(data.get("table", ""))[:MAX_TABLE_NAME],
        )
    except (KeyError, TypeError) as error:
        raise ValueError(f"This is no column mapping: {error}.") from error
    if not (0 <= mapping.n_before <= MAX_BEFORE and 0 < len(mapping.roles) <= MAX_COLUMNS):
        raise ValueError("This is no column mapping: it has too many rows above, or columns.")
    if len(mapping.penalties) > MAX_WORDS or len(mapping.names) > len(mapping.roles):
        raise ValueError("This is no column mapping: it has too many words, or names.")
    return mapping


def _choice(value: object, choices: Mapping[str, str]) -> str:
    if not isinstance(value, str) or value not in choices:
        raise ValueError(f"This is no column mapping: {value!r} is none of {', '.join(choices)}.")
    return value


def _texts(values: Sequence[object]) -> tuple[str, ...]:
    return tuple(str(value)[:MAX_NAME] for value in values)
