"""JSON Lines logs: one object on each line."""

from collections.abc import Sequence
from datetime import tzinfo

from cubecore.errors import CubeError
from cubecore.jsonlines import parse_line
from cubecore.rows import FIELDS
from logs.errors import RowProblem
from logs.intake.parsed import Format, ParsedUpload, ReadRow
from logs.intake.rows import RowSorter, check_characters, problem_of, read_row

MAX_UNKNOWN_NAMES = 50
_KNOWN = frozenset(FIELDS)


def read_object(
    text: str, line: int, time_zone: tzinfo, unknown: dict[str, None]
) -> ReadRow | RowProblem:
    """The row of one object, or what is wrong with it; names of unknown keys go to ``unknown``."""
    try:
        values = parse_line(text)
        check_characters(values)
    except CubeError as error:
        return problem_of(error, line, text)
    if not values.keys() <= _KNOWN:
        for name in values:
            if name not in _KNOWN and len(unknown) < MAX_UNKNOWN_NAMES:
                unknown[_shown(name)] = None
    return read_row(values, line, text, time_zone)


def _shown(name: str) -> str:
    """``name`` as it can be stored and shown: cut, and escaped where it does not print."""
    cut = name[:40]
    return cut if cut.isprintable() else ascii(cut)[1:-1]


def read_json_lines(lines: Sequence[str], time_zone: tzinfo) -> ParsedUpload:
    """The JSON Lines file of ``lines``, read."""
    sorter = RowSorter()
    unknown: dict[str, None] = {}
    for line, ended in enumerate(lines, start=1):
        text = ended.rstrip("\r\n")
        if text.strip():
            sorter.add(read_object(text, line, time_zone, unknown))
    return ParsedUpload(
        format=Format.JSON_LINES,
        rows=tuple(sorter.rows),
        problems=tuple(sorter.problems),
        unknown_columns=tuple(unknown),
    )
