"""Where in a row a problem lies, and what would likely mend it.

A mend is offered only where the row can be read with it, and where nothing else would do as well:
a wrong turn is mended only by the one turn with which the solution solves the scramble.
"""

import json
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from cubecore.cube import SOLVED, after_turns
from cubecore.errors import CubeError, NotationError
from cubecore.notation import parse_script, parse_tokens
from cubecore.rows import Row
from cubecore.turns import SUFFIXES, Face, joined
from logs.errors import RowProblem
from logs.intake.cells import CellError, read_moment
from logs.intake.formats import format_csv_line, records, unguard_cell
from logs.intake.mapping import ColumnMapping, DateOrder, Role
from logs.intake.reading import read_mended
from logs.intake.rows import Clock, Format, ReadRow, parse_done_at
from logs.intake.source import split_lines

_TURNS = tuple(face.name + suffix for face, suffix in product(Face, SUFFIXES))
_PENALTY_WORDS = (("dnf", "DNF"), ("2", "+2"), ("+", "+2"))
_NO_PENALTY = frozenset(("0", "-", "no", "none", "ok", "false"))
_NUMBER = re.compile(r"\d+", re.ASCII)


@dataclass(frozen=True, slots=True)
class RowFile:
    """The file that a row stands in, as far as a row of it is read by that.

    Attributes:
        format: How it is written.
        columns: The names in its header, when it is CSV of ours.
        mapping: How it is read, when it is in none of our own formats.
    """

    format: Format
    columns: Sequence[str] = ()
    mapping: ColumnMapping | None = None

    @property
    def separator(self) -> str:
        """What parts its cells."""
        return "," if self.mapping is None else self.mapping.separator


@dataclass(frozen=True, slots=True)
class RowCell:
    """A cell of a row.

    Attributes:
        name: Name of its column; empty where it has none.
        text: What it holds, as it came.
        is_marked: Whether the problem lies in it.
    """

    name: str
    text: str
    is_marked: bool


@dataclass(frozen=True, slots=True)
class Mend:
    """What would likely mend a row.

    Attributes:
        before: The cell as it stands.
        after: The cell as it would be.
        text: The whole row with it.
    """

    before: str
    after: str
    text: str


@dataclass(frozen=True, slots=True)
class ProblemPlace:
    """Where in its row a problem lies.

    Attributes:
        turn: Which turn of the marked text cannot be read, counted from 1; None where that is not
            the trouble.
        cells: The cells of the row; empty for one that cannot be cut into cells.
        mend: What would likely mend it; None where nothing is likely.
    """

    turn: int | None
    cells: tuple[RowCell, ...]
    mend: Mend | None


def place_problem(problem: RowProblem, file: RowFile, clock: Clock) -> ProblemPlace:
    """Where in its row ``problem`` lies, and what would mend it.

    Args:
        problem: The problem, with the row's text.
        file: The row's file.
        clock: Against what its dates are read.
    """
    names, cells = _cut(problem.text, file)
    at = _marked(problem.field, names, file)
    if at is not None and at >= len(cells):
        at = None
    has_turns = problem.field in ("scramble", "solution")
    return ProblemPlace(
        turn=_bad_turn(cells[at]) if at is not None and has_turns else None,
        cells=tuple(
            RowCell(names[place] if place < len(names) else "", cell, place == at)
            for place, cell in enumerate(cells)
        ),
        mend=_likely_mend(problem, file, clock, cells, at),
    )


def _cut(text: str, file: RowFile) -> tuple[list[str], list[str]]:
    """The names of a row's columns and its cells; neither where it cannot be cut."""
    if file.format is Format.JSON_LINES:
        values = _json_object(text)
        return list(values), [_json_text(value) for value in values.values()]
    rows = [row for row in records(split_lines(text), 1, file.separator) if row.problem is None]
    if len(rows) != 1:
        return [], []
    names = file.columns if file.mapping is None else file.mapping.names
    return list(names), [unguard_cell(cell) for cell in rows[0].cells]


def _json_object(text: str) -> dict[str, object]:
    try:
        values = json.loads(text)
    except (ValueError, RecursionError):
        return {}
    return values if isinstance(values, dict) else {}


def _json_text(value: object) -> str:
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _marked(field: str, names: Sequence[str], file: RowFile) -> int | None:
    """The place of the cell that a problem's field names."""
    if not field:
        return None
    if file.mapping is not None:
        return file.mapping.place(Role(field))
    return names.index(field) if field in names else None


def _bad_token(cell: str) -> tuple[int, int] | None:
    """Where the token of a text that cannot be read begins and ends; None where all can be read."""
    try:
        parse_tokens(cell)
    except NotationError as error:
        start = end = (error.column or 1) - 1
    else:
        return None
    while start and not _is_gap(cell[start - 1]):
        start -= 1
    while end < len(cell) and not _is_gap(cell[end]):
        end += 1
    return start, end


def _is_gap(char: str) -> bool:
    return char.isspace() or char in "()"


def _bad_turn(cell: str) -> int | None:
    """Which turn of a text, counted from 1, cannot be read; None where all can."""
    token = _bad_token(cell)
    if token is None:
        return None
    return len(cell[: token[0]].replace("(", " ").replace(")", " ").split()) + 1


def _likely_mend(
    problem: RowProblem, file: RowFile, clock: Clock, cells: Sequence[str], at: int | None
) -> Mend | None:
    """The only change of a cell with which the row can be read."""
    if at is None:
        return _joined_cells(problem, file, clock, cells)
    mends: dict[str, Mend] = {}
    for after in _changes(problem, cells[at], clock):
        text = _text_with(cells, at, after, problem.text, file)
        read = _read(text, problem.line, file, clock)
        if isinstance(read, ReadRow) and _is_sound(problem.field, read.row):
            mends.setdefault(after, Mend(cells[at], after, text))
    return next(iter(mends.values())) if len(mends) == 1 else None


def _is_sound(field: str, row: Row) -> bool:
    """Whether a row whose turns were changed solves the cube; other changes need not."""
    if field not in ("scramble", "solution"):
        return True
    if row.solution is None:
        return False
    try:
        turns = joined(parse_script(row.scramble).turns, parse_script(row.solution).turns)
    except CubeError:
        return False
    return after_turns(SOLVED, turns) == SOLVED


def _read(text: str, line: int, file: RowFile, clock: Clock) -> ReadRow | RowProblem:
    return read_mended(
        text,
        format=file.format,
        columns=file.columns,
        line=line,
        clock=clock,
        mapping=file.mapping,
    )


def _text_with(cells: Sequence[str], at: int, after: str, text: str, file: RowFile) -> str:
    """The row with one cell changed."""
    if file.format is Format.JSON_LINES:
        values = _json_object(text)
        return json.dumps(values | {[*values][at]: after}, ensure_ascii=False)
    changed = [*cells[:at], after, *cells[at + 1 :]]
    return format_csv_line(changed, file.separator).rstrip("\r\n")


def _joined_cells(
    problem: RowProblem, file: RowFile, clock: Clock, cells: Sequence[str]
) -> Mend | None:
    """A time with a comma that was cut into two cells, put together again."""
    if problem.code != "cell_count" or file.format is not Format.CSV:
        return None
    names = [*file.columns]
    at = names.index("time")
    if len(cells) != len(names) + 1 or at + 1 >= len(cells):
        return None
    after = f"{cells[at].strip()}.{cells[at + 1].strip()}"
    text = format_csv_line([*cells[:at], after, *cells[at + 2 :]], file.separator).rstrip("\r\n")
    is_read = isinstance(_read(text, problem.line, file, clock), ReadRow)
    return Mend(",".join(cells[at : at + 2]), after, text) if is_read else None


def _changes(problem: RowProblem, cell: str, clock: Clock) -> Iterable[str]:
    """What a cell may have been meant to be."""
    if problem.field in ("scramble", "solution"):
        return _turn_changes(cell)
    if problem.field == "time":
        return _time_changes(cell)
    if problem.field == "penalty":
        return _penalty_changes(cell)
    if problem.field == "done_at":
        return _date_changes(cell, clock)
    return [""] if problem.code == "times_without_turns" else []


def _time_changes(cell: str) -> Iterator[str]:
    bare = cell.strip().strip("sS \"'").replace(" ", "")
    if "," in bare or "." in bare:
        whole, _, decimals = bare.replace(",", ".").rpartition(".")
        whole = whole.replace(".", ":")
        yield f"{whole}.{decimals}"
        yield f"{whole},{decimals}"
    elif bare != cell:
        yield bare


def _penalty_changes(cell: str) -> Iterator[str]:
    word = cell.strip().casefold()
    if word in _NO_PENALTY:
        yield ""
        return
    for part, penalty in _PENALTY_WORDS:
        if part in word:
            yield penalty
            return


def _date_changes(cell: str, clock: Clock) -> Iterator[str]:
    """The date written in ISO 8601, with its day and month changed round, or in another year."""
    text = cell.strip()
    for order in (DateOrder.YEAR_FIRST, DateOrder.DAY_FIRST, DateOrder.MONTH_FIRST):
        try:
            written = read_moment(text, "", order)
            parse_done_at(written, clock)
        except (CellError, CubeError):
            continue
        yield written.replace("T", " ")
    numbers = list(_NUMBER.finditer(text))[:3]
    if len(numbers) == 3:
        first, second = numbers[1:] if len(numbers[0][0]) == 4 else numbers[:2]
        swapped = text[: first.start()] + second[0] + text[first.end() : second.start()]
        yield swapped + first[0] + text[second.end() :]


def _turn_changes(cell: str) -> Iterator[str]:
    """The text with another turn in the place of the one that cannot be read, or with none."""
    token = _bad_token(cell)
    if token is not None:
        for turn in (*_TURNS, ""):
            yield cell[: token[0]] + turn + cell[token[1] :]
