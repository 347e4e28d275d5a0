"""The first rows of a file of unknown dialect: its encoding, what parts its cells, its header.

Everything is told from the cells: which of them are turns, times, dates. Only the names of our own
columns are known words.
"""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import islice

from cubecore.rows import FIELDS
from logs.intake.cells import (
    MAX_CELL,
    CellError,
    beginning,
    is_clock,
    is_turns,
    read_moment,
    read_time,
    read_us,
)
from logs.intake.formats import Record, records, unguard_cell
from logs.intake.mapped import header_names, table_text
from logs.intake.mapping import (
    DECIMAL_MARKS,
    MAX_BEFORE,
    MAX_COLUMNS,
    SEPARATORS,
    TURN_SEPARATORS,
    ColumnMapping,
    DateOrder,
    Unit,
)
from logs.intake.rows import refuse
from logs.intake.source import Kind, SourceFile, split_lines

SAMPLE_ROWS = 200
MAX_SAMPLE_CELLS = 6_000
"""Cells of the first rows that are looked at, and so fewer rows of a wide file."""
_SEPARATOR_ROWS = 20
"""Rows by which each separator is tried."""
MAX_TABLES = 30
"""Tables of a workbook or of JSON that are looked at."""
_SAMPLE_CHARACTERS = 400_000
_TIME_SIGNS = frozenset("0123456789:.,+() \u00a0sScCmMdDnNfF")
_MOST = 0.6
"""Share of a column's cells from which on it counts as holding what they are."""


class CellKinds:
    """What cells could be, each text judged once for each kind: the work of a guess.

    Attributes:
        n_judged: How many judgements were made.
    """

    def __init__(self) -> None:
        self.n_judged = 0
        self._verdicts: dict[tuple[str, str], bool] = {}

    def is_kind(self, kind: str, cell: str) -> bool:
        """Whether ``cell`` could be of ``kind``, a key of ``KINDS``."""
        verdict = self._verdicts.get((kind, cell))
        if verdict is None:
            self.n_judged += 1
            verdict = self._verdicts[kind, cell] = bool(cell) and KINDS[kind](cell)
        return verdict

    def is_mostly(self, kind: str, cells: Sequence[str]) -> bool:
        """Whether most of ``cells`` are of ``kind``."""
        n_such = sum(self.is_kind(kind, cell) for cell in cells)
        return bool(cells) and n_such / len(cells) >= _MOST


@dataclass(frozen=True, slots=True)
class Sample:
    """The first rows of a file.

    Attributes:
        encoding: A key of `logs.intake.mapping.ENCODINGS`.
        separator: A key of `logs.intake.mapping.SEPARATORS`.
        n_before: Rows above the header.
        names: The header; empty when there is none.
        rows: The cells of the rows below it, all of one length.
        above: The first rows as they stand, those above the header too.
        reasons: Why it was taken so, by field.
        table: Which table of a workbook or of JSON it is; empty for a file of lines.
        tables: The names of all of them.
        kinds: What its cells could be, so far as was asked.
    """

    encoding: str
    separator: str
    n_before: int
    names: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    above: tuple[tuple[str, ...], ...]
    reasons: dict[str, str]
    table: str = ""
    tables: tuple[str, ...] = ()
    kinds: CellKinds = field(default_factory=CellKinds, compare=False)

    @property
    def n_columns(self) -> int:
        """How many columns it has."""
        return len(self.rows[0]) if self.rows else len(self.names)

    def column(self, index: int) -> list[str]:
        """The cells of a column that hold something."""
        return [row[index] for row in self.rows if row[index]]


def take_sample(
    source: SourceFile,
    *,
    encoding: str | None = None,
    separator: str | None = None,
    n_before: int | None = None,
    has_header: bool | None = None,
    table: str | None = None,
) -> Sample:
    """The first rows of ``source``; what is given is taken for granted, the rest is guessed.

    Raises:
        UploadRejectedError: It is no text, or has no rows, or too many columns.
    """
    reasons: dict[str, str] = {}
    kinds = CellKinds()
    tables: tuple[str, ...] = ()
    if source.kind.has_tables:
        tables = tuple(source.tables)
        encoding, separator = "utf-8", ","
        table, reasons["table"] = _guess_table(source.tables, table, kinds)
        if source.kind is Kind.JSON:
            n_before, has_header = 0, True
    if encoding is None:
        encoding, reasons["encoding"] = source.encoding
    lines = _first_lines(table_text(source, encoding, table or ""))
    if separator is None:
        separator, reasons["separator"] = _guess_separator(lines, kinds)
    rows = _first_rows(lines, separator)
    if not rows:
        refuse("empty_file", "The file is empty.")
    width = Counter(map(len, rows)).most_common(1)[0][0]
    if n_before is None:
        n_before, reasons["n_before"] = _guess_n_before(rows, width)
    if n_before >= len(rows):
        refuse("no_rows", f"The file has {len(rows)} rows; pass over fewer than that.")
    if has_header is None:
        has_header = _has_header([_padded(row, width) for row in rows[n_before:]], kinds)
        reasons["has_header"] = (
            "Its cells are of another kind than those below."
            if has_header
            else "Its cells are of the same kind as those below."
        )
    header = rows[n_before] if has_header else ()
    width = max(width, len(header))
    return Sample(
        encoding=encoding,
        separator=separator,
        n_before=n_before,
        names=header_names(header),
        rows=tuple(_padded(row, width) for row in rows[n_before + has_header :]),
        above=tuple(rows[: n_before + 6]),
        reasons=reasons,
        table=table or "",
        tables=tables,
        kinds=kinds,
    )


def _guess_n_before(rows: Sequence[tuple[str, ...]], width: int) -> tuple[int, str]:
    """How many rows stand above the header or the first solve, and why."""
    for at, row in enumerate(rows[:MAX_BEFORE]):
        if len(row) == width:
            return at, "The rows above have another number of cells." if at else ""
    return 0, ""


def _first_lines(text: str) -> list[str]:
    """The lines of the beginning of ``text``, the last one whole."""
    lines = split_lines(text[:_SAMPLE_CHARACTERS])
    if len(text) > _SAMPLE_CHARACTERS and len(lines) > 1:
        lines.pop()
    return lines


def _guess_table(
    tables: Mapping[str, str], chosen: str | None, kinds: CellKinds
) -> tuple[str, str]:
    """The chosen table, else the first of those with most cells of turns, and why."""
    if chosen is not None and chosen in tables:
        return chosen, "You chose it."
    n_turns = {
        name: sum(
            kinds.is_kind("turns", cell)
            for record in islice(records(_first_lines(text)), _SEPARATOR_ROWS)
            for cell in _cells(record)
        )
        for name, text in islice(tables.items(), MAX_TABLES)
    }
    best = max(n_turns, key=lambda name: n_turns[name])
    others = [name for name, n in n_turns.items() if n and name != best]
    if others:
        names = ", ".join(f"“{name[:40]}”" for name in others[:5])
        return best, f"Its cells hold turns; so do those of {names}: look which has the solves."
    return best, "It is the one whose cells hold turns."


def sample_of(source: SourceFile, mapping: ColumnMapping) -> Sample:
    """The first rows of ``source``, read as ``mapping`` says.

    Raises:
        UploadRejectedError: It cannot be read so.
    """
    return take_sample(
        source,
        encoding=mapping.encoding,
        separator=mapping.separator,
        n_before=mapping.n_before,
        has_header=mapping.has_header,
        table=mapping.table,
    )


def _first_rows(lines: Sequence[str], separator: str) -> list[tuple[str, ...]]:
    """The cells of the first rows, as many rows as ``MAX_SAMPLE_CELLS`` allow.

    Raises:
        UploadRejectedError: A row that others are like has too many cells.
    """
    rows: list[tuple[str, ...]] = []
    n_cells = n_wide = 0
    for record in islice(records(lines, 1, separator), SAMPLE_ROWS + MAX_BEFORE):
        rows.append(_cells(record))
        n_cells += len(rows[-1])
        n_wide += len(rows[-1]) > MAX_COLUMNS
        if n_cells > MAX_SAMPLE_CELLS:
            break
    if n_wide > len(rows) / 2:
        refuse(
            "too_many_columns",
            f"The file has more than {MAX_COLUMNS} columns; at most {MAX_COLUMNS} are read.",
        )
    return [row[:MAX_COLUMNS] for row in rows]


def _cells(record: Record) -> tuple[str, ...]:
    """The cells of a record, one more than can be mapped at most."""
    cells = record.cells[: MAX_COLUMNS + 1] if record.problem is None else [record.text]
    return tuple(unguard_cell(cell).strip() for cell in cells)


def _padded(cells: Sequence[str], width: int) -> tuple[str, ...]:
    return (*cells[:width], *[""] * (width - len(cells)))


def _guess_separator(lines: Sequence[str], kinds: CellKinds) -> tuple[str, str]:
    """The separator under which the cells make most sense, and why."""
    best = (-1.0, 0)
    chosen = ","
    for separator in SEPARATORS:
        first = islice(records(lines, 1, separator), _SEPARATOR_ROWS)
        rows = [_cells(record) for record in first]
        if not rows:
            continue
        width, n_same = Counter(map(len, rows)).most_common(1)[0]
        n_figures = sum(
            any(kinds.is_kind("time", cell) or kinds.is_kind("moment", cell) for cell in row)
            for row in rows
        )
        n_turns = sum(any(kinds.is_kind("turns", cell) for cell in row) for row in rows)
        n_sensible = n_turns + n_figures + (n_same if width > 1 else 0)
        if (round(n_sensible / len(rows), 3), width) > best:
            best = (round(n_sensible / len(rows), 3), width)
            chosen = separator
    width = best[1]
    if width < 2:
        return chosen, "No separator was found in the first rows."
    return chosen, f"With it most of the first rows have {width} cells each."


def is_time(cell: str) -> bool:
    """Whether a cell could be the time of a solve, in one of the forms and units there are."""
    if not _may_be_figure(cell) or cell.count(".") + cell.count(",") > 1:
        return False
    if not _TIME_SIGNS.issuperset(cell):
        return False
    for mark in DECIMAL_MARKS:
        for unit in Unit:
            try:
                read_time(cell, unit, mark)
            except CellError:
                continue
            return not _is_zero(cell)
    return False


def _may_be_figure(cell: str) -> bool:
    """Whether a cell is short enough for a time or a date, and has a digit or is a DNF."""
    return len(cell) <= MAX_CELL and (any(map(str.isdecimal, cell)) or "dnf" in cell.lower())


def _is_zero(cell: str) -> bool:
    return not cell.strip("0.,: ")


def is_moment(cell: str) -> bool:
    """Whether a cell could be a date, or a count of seconds or milliseconds since 1970."""
    if not _may_be_figure(cell):
        return False
    digits = cell.replace(".", "", 1)
    if digits.isascii() and digits.isdecimal():
        return len(cell.partition(".")[0]) in (10, 13)
    return any(map(partial(_is_date, cell), _ORDERS))


_ORDERS = (DateOrder.YEAR_FIRST, DateOrder.DAY_FIRST, DateOrder.MONTH_FIRST)


def _is_date(cell: str, order: DateOrder) -> bool:
    try:
        read_moment(cell, "", order)
    except CellError:
        return False
    return True


def turn_separator(cell: str) -> str | None:
    """What parts the numbers of a cell of turn times; None if it is none."""
    for separator in TURN_SEPARATORS:
        parts = beginning(cell).strip("[](){} ").split(None if separator == " " else separator)
        if len(parts) > 2 and all(map(_is_number, parts[:50])):
            return separator
    return None


def _is_number(text: str) -> bool:
    for mark in DECIMAL_MARKS:
        try:
            read_us(text, Unit.SECONDS, mark)
        except CellError:
            continue
        return True
    return False


def _is_hour(cell: str) -> bool:
    """Whether a cell is a time of day after midnight, in whole seconds: solves have parts of one."""
    return is_clock(cell) and not set(cell) & set(".,") and bool(cell.partition(":")[0].strip("0"))


KINDS: dict[str, Callable[[str], bool]] = {
    "turns": is_turns,
    "turn_times": lambda cell: turn_separator(cell) is not None,
    "moment": is_moment,
    "clock": _is_hour,
    "time": is_time,
}


def _has_header(rows: Sequence[tuple[str, ...]], kinds: CellKinds) -> bool:
    """Whether the first of ``rows`` names the columns of the others."""
    if not rows:
        return False
    first, below = rows[0], rows[1:]
    words = {cell.strip().casefold() for cell in first}
    if {"scramble", "time"} <= words or (not below and words & set(FIELDS)):
        return True
    breaks = fits = 0
    for index, cell in enumerate(first):
        cells = [row[index] for row in below if row[index]]
        for kind in ("turns", "time", "moment"):
            if kinds.is_mostly(kind, cells):
                is_same = kinds.is_kind(kind, cell)
                fits += is_same
                breaks += not is_same
    return breaks > fits
