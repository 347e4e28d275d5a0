"""JSON Lines logs, one object on each line, and the way back."""

import json
from collections.abc import Sequence

from cubecore.errors import CubeError
from cubecore.jsonlines import parse_line
from cubecore.rows import FIELDS, Row, format_time_exactly
from logs.errors import RowProblem
from logs.intake.rows import (
    Clock,
    Format,
    ParsedUpload,
    ReadRow,
    RowSorter,
    check_characters,
    problem_of,
    read_row,
)

MAX_UNKNOWN_NAMES = 50
_FIELD_NAMES = frozenset(FIELDS)


def read_object(
    text: str, line: int, clock: Clock, unknown: dict[str, None]
) -> ReadRow | RowProblem:
    """The row of one object, or what is wrong with it; names of unknown keys go to ``unknown``."""
    try:
        values = parse_line(text)
        check_characters(values)
    except CubeError as error:
        return problem_of(error, line, text)
    if not values.keys() <= _FIELD_NAMES:
        for name in values:
            if name not in _FIELD_NAMES and len(unknown) < MAX_UNKNOWN_NAMES:
                unknown[_printable(name)] = None
    return read_row(values, line, text, clock)


def _printable(name: str) -> str:
    """``name`` as it can be stored and shown: cut, and escaped where it does not print."""
    cut = name[:40]
    return cut if cut.isprintable() else ascii(cut)[1:-1]


def read_json_lines(lines: Sequence[str], clock: Clock) -> ParsedUpload:
    """The JSON Lines file of ``lines``, read."""
    sorter = RowSorter()
    unknown: dict[str, None] = {}
    for line, ended in enumerate(lines, start=1):
        text = ended.rstrip("\r\n")
        if text.strip():
            sorter.add(read_object(text, line, clock, unknown))
    return ParsedUpload(
        format=Format.JSON_LINES,
        rows=tuple(sorter.rows),
        problems=tuple(sorter.problems),
        unknown_columns=tuple(unknown),
    )


def format_json_line(row: Row) -> str:
    """The row as one line with its line end; keys that would be empty are left out."""
    values = {
        "done_at": row.done_at,
        "scramble": row.scramble,
        "time": format_time_exactly(row.time_ms),
        "penalty": str(row.penalty) or None,
        "solution": row.solution,
        "turn_ms": None if row.turn_ms is None else list(row.turn_ms),
        "note": row.note or None,
    }
    present = {key: value for key, value in values.items() if value is not None}
    return json.dumps(present, ensure_ascii=False) + "\n"
