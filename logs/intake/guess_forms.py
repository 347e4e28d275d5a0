"""In which forms the cells of known columns are written; None where the cells leave it open."""

from collections.abc import Sequence
from itertools import pairwise
from statistics import median
from typing import Any, NamedTuple

from cubecore.rows import PLUS_TWO_MS, Penalty
from logs.intake.cells import (
    CellError,
    read_time,
    read_turn_times,
    split_date,
    split_turn_times,
)
from logs.intake.mapping import ColumnMapping, DateOrder, Role, TurnTimes, Unit
from logs.intake.sample import Sample, turn_separator

PLAUSIBLE_MS = (4_000, 180_000)
"""Between these lies the middle solve of a member's log; our own choice, for guesses alone."""
_UNIT_MS = {Unit.SECONDS: 1_000, Unit.CENTISECONDS: 10, Unit.MILLISECONDS: 1}
_UNIT_WORDS = {
    Unit.SECONDS: "seconds",
    Unit.CENTISECONDS: "hundredths of a second",
    Unit.MILLISECONDS: "milliseconds",
}
_PLUS_TWO_SLACK_MS = 1_000


class Guessed(NamedTuple):
    """A guess for a field of the mapping, and why; its value is None when the cells leave it open."""

    value: Any
    reason: str


def guess_decimal_mark(cells: Sequence[str]) -> Guessed:
    """What stands before the decimals of the times."""
    points = sum("." in cell for cell in cells)
    commas = sum("," in cell and "." not in cell for cell in cells)
    if commas > points:
        return Guessed(",", f"{commas} of the first {len(cells)} cells have a comma.")
    return Guessed(".", f"{points} of the first {len(cells)} cells have a point.")


def guess_time_unit(cells: Sequence[str]) -> Guessed:
    """What the times count."""
    if any(mark in cell for cell in cells for mark in ".,:"):
        return Guessed(Unit.SECONDS, "There are times with a point, a comma or a colon.")
    numbers = []
    for cell in cells:
        try:
            numbers.append(read_time(cell, Unit.MILLISECONDS, ".").time_ms)
        except CellError:
            continue
    readings = [number for number in numbers if number is not None]
    if not readings:
        return Guessed(None, "No cell could be read as a number.")
    typical = median(readings)
    low, high = PLAUSIBLE_MS
    fits = [unit for unit, ms in _UNIT_MS.items() if low <= typical * ms <= high]
    middle = f"The middle one of the first is {typical:.0f}"
    if len(fits) == 1:
        return Guessed(
            fits[0], f"{middle}: a likely solve only when it counts {_UNIT_WORDS[fits[0]]}."
        )
    return Guessed(None, f"{middle}, which could be several units. Only you can say.")


def guess_date_order(cells: Sequence[str]) -> Guessed:
    """How the dates are written: from a part that is a year, a name, or above the twelfth."""
    if not cells:
        return Guessed(None, "")
    whole = [cell.partition(".")[0] for cell in cells]
    for digits, order in ((10, DateOrder.UNIX_SECONDS), (13, DateOrder.UNIX_MS)):
        if all(cell.isdecimal() and len(cell) == digits for cell in whole):
            return Guessed(order, f"The cells are whole numbers of {digits} digits.")
    dates = [parts for cell in cells if (parts := split_date(" ".join(cell.split())))]
    if dates and all(len(first) == 4 for first, *_ in dates):
        return Guessed(DateOrder.YEAR_FIRST, "The dates begin with a year.")
    if any(second[0].isalpha() for _, second, *_ in dates):
        return Guessed(DateOrder.DAY_FIRST, "The months are written as names.")
    firsts = [int(first) for first, *_ in dates]
    seconds = [int(second) for _, second, *_ in dates]
    if any(first > 12 for first in firsts):
        return Guessed(DateOrder.DAY_FIRST, f"A date begins with {max(firsts)}, which is no month.")
    if any(second > 12 for second in seconds):
        return Guessed(
            DateOrder.MONTH_FIRST,
            f"A date has {max(seconds)} as its second part, which is no month.",
        )
    return Guessed(None, "No date of the first rows has a day above the twelfth. Only you can say.")


def guess_turn_forms(sample: Sample, mapping: ColumnMapping) -> dict[str, Guessed]:
    """What stands between turn times, whether they are ends or gaps, and what they count."""
    at = mapping.place(Role.TURN_MS)
    at = mapping.place(Role.MARK_MS) if at is None else at
    cells = [] if at is None else sample.column(at)[:50]
    separators = [separator for cell in cells if (separator := turn_separator(cell))]
    if not separators:
        return {}
    separator = max(set(separators), key=separators.count)
    mark = "." if separator == "," else mapping.decimal_mark
    texts = [split_turn_times(cell, separator) for cell in cells]
    numbers = [ns for parts in texts if len(ns := _numbers(parts, mark)) > 1]
    if not numbers:
        return {}
    falls = sum(any(after < before for before, after in pairwise(ns)) for ns in numbers)
    kind = TurnTimes.GAPS if falls else TurnTimes.ENDS
    why = (
        f"In {falls} of {len(numbers)} rows the numbers fall, so they are no running time."
        if falls
        else "The numbers never fall."
    )
    is_parted = any(mark in part for parts in texts for part in parts)
    return {
        "turn_separator": Guessed(separator, ""),
        "turn_times": Guessed(kind, why),
        "turn_unit": _turn_unit(sample, mapping, numbers, kind, is_parted),
    }


def _numbers(parts: Sequence[str], mark: str) -> list[float]:
    try:
        return [float(part.replace(mark, ".")) for part in parts if part != "-"]
    except ValueError:
        return []


def _turn_unit(
    sample: Sample,
    mapping: ColumnMapping,
    numbers: Sequence[list[float]],
    kind: TurnTimes,
    is_parted: bool,
) -> Guessed:
    """The unit in which the last turn ends nearest to the typical time."""
    last = median(ns[-1] if kind is TurnTimes.ENDS else sum(ns) for ns in numbers)
    times = _time_readings(sample, mapping)
    if not times or not last:
        unit = Unit.SECONDS if is_parted else Unit.MILLISECONDS
        return Guessed(unit, "Numbers with decimals count seconds, whole ones milliseconds.")
    typical = median(times)
    nearest = min(_UNIT_MS, key=lambda unit: abs(_UNIT_MS[unit] * last / typical - 1))
    return Guessed(nearest, "So the last turn ends about when the time does.")


def _time_readings(sample: Sample, mapping: ColumnMapping) -> list[int]:
    at = mapping.place(Role.TIME)
    if at is None or mapping.time_unit is None:
        return []
    readings = []
    for cell in sample.column(at):
        try:
            reading = read_time(cell, mapping.time_unit, mapping.decimal_mark)
        except CellError:
            continue
        if reading.time_ms:
            readings.append(reading.time_ms)
    return readings


def guess_plus_two(sample: Sample, mapping: ColumnMapping) -> Guessed:
    """Whether a time with +2 has the two seconds in it: its last turn tells."""
    over = [gap for row in sample.rows if (gap := _over_last_turn(row, mapping)) is not None]
    if not has_plus_two(sample, mapping):
        return Guessed(None, "No solve of the first rows has a +2.")
    if over and all(abs(gap - PLUS_TWO_MS) <= _PLUS_TWO_SLACK_MS for gap in over):
        return Guessed(True, "These times end two seconds after the last turn.")
    if over and all(gap < PLUS_TWO_MS - _PLUS_TWO_SLACK_MS for gap in over):
        return Guessed(False, "These times end with the last turn.")
    return Guessed(None, "The rows do not tell. Only you can say.")


def has_plus_two(sample: Sample, mapping: ColumnMapping) -> bool:
    """Whether a row of the sample has a +2."""
    return any(_is_plus_two(row, mapping) for row in sample.rows)


def _is_plus_two(row: Sequence[str], mapping: ColumnMapping) -> bool:
    meanings = {meaning.word.casefold(): meaning.means for meaning in mapping.penalties}
    at = mapping.place(Role.PENALTY)
    if at is not None and meanings.get(row[at].casefold()) is Penalty.PLUS_TWO:
        return True
    at = mapping.place(Role.TIME)
    if at is None or mapping.time_unit is None:
        return False
    try:
        return read_time(row[at], mapping.time_unit, mapping.decimal_mark).penalty is (
            Penalty.PLUS_TWO
        )
    except CellError:
        return False


def _over_last_turn(row: Sequence[str], mapping: ColumnMapping) -> int | None:
    """How long after the last turn the time of a +2 ends; None when the row does not say."""
    times, turns = mapping.place(Role.TIME), mapping.place(Role.TURN_MS)
    unit = mapping.time_unit
    if times is None or turns is None or unit is None or not row[turns]:
        return None
    if not _is_plus_two(row, mapping):
        return None
    try:
        ends = read_turn_times(
            row[turns],
            unit=mapping.turn_unit,
            decimal_mark=mapping.decimal_mark,
            kind=mapping.turn_times,
            separator=mapping.turn_separator,
        )
        time_ms = read_time(row[times], unit, mapping.decimal_mark).time_ms
    except CellError:
        return None
    return time_ms - ends[-1] if ends and time_ms is not None else None
