"""A CSV file of any dialect, read as a member's mapping says."""

from collections.abc import Sequence
from itertools import islice

from cubecore.rows import Penalty, format_time_exactly
from logs.errors import RowProblem, UploadRejectedError
from logs.intake.cells import (
    CellError,
    read_marks,
    read_moment,
    read_time,
    read_turn_times,
    timer_reading,
)
from logs.intake.formats import Record, records, unguard_cell
from logs.intake.mapping import ColumnMapping, Role, faults
from logs.intake.rows import Clock, Format, ParsedUpload, ReadRow, RowSorter, read_row, refuse
from logs.intake.source import SourceFile, split_lines


def read_mapped(
    source: SourceFile, mapping: ColumnMapping, clock: Clock, *, limit: int | None = None
) -> ParsedUpload:
    """The file, read row by row; never raises on bad data.

    Args:
        source: The file.
        mapping: How it is written.
        clock: Against what its dates are read.
        limit: How many rows to read at most; all when None.
    """
    try:
        return _read(source, mapping, clock, limit)
    except UploadRejectedError as error:
        return ParsedUpload(format=Format.MAPPED, refusal=error.problems[0])


def _read(
    source: SourceFile, mapping: ColumnMapping, clock: Clock, limit: int | None
) -> ParsedUpload:
    for message in faults(mapping).values():
        refuse("mapping_incomplete", message)
    text = table_text(source, mapping.encoding, mapping.table)
    rows = records(split_lines(text), 1, mapping.separator)
    n_above = mapping.n_before + mapping.has_header
    passed = list(islice(rows, n_above))
    if len(passed) < n_above:
        refuse("empty_file", "The file has no rows below its header.")
    if mapping.has_header:
        _check_header(passed[-1], mapping)
    sorter = RowSorter()
    for record in islice(rows, limit):
        sorter.add(read_mapped_record(record, mapping, clock))
    return ParsedUpload(
        format=Format.MAPPED,
        columns=mapping.names,
        rows=tuple(sorter.rows),
        problems=tuple(sorter.problems),
        unknown_columns=tuple(
            name for name, role in zip(mapping.names, mapping.roles, strict=False) if not role
        ),
    )


def table_text(source: SourceFile, encoding: str, table: str) -> str:
    """The text of a file's table: of a workbook or JSON the one named so, else all of it.

    Raises:
        UploadRejectedError: It cannot be read, or has no such table.
    """
    if not source.kind.has_tables:
        return source.text_in(encoding)
    if table not in source.tables:
        names = ", ".join(f"“{name[:40]}”" for name in [*source.tables][:10])
        refuse("no_such_table", f"There is no table “{table[:40]}” in the file; choose of {names}.")
    return source.tables[table]


def _check_header(record: Record, mapping: ColumnMapping) -> None:
    """Make sure that the columns are those the mapping was made for."""
    names = header_names(record.cells)
    if record.problem is not None:
        refuse(record.problem.code, f"Line {record.line}: {record.problem.message}")
    if tuple(map(str.casefold, names)) != tuple(map(str.casefold, mapping.names)):
        refuse(
            "other_header",
            f"Line {record.line} names other columns than the mapping does."
            " Look at the columns again.",
        )


def header_names(cells: Sequence[str]) -> tuple[str, ...]:
    """The names in a header as they are kept: trimmed, cut, printable."""
    return tuple("".join(filter(str.isprintable, cell.strip()))[:60] for cell in cells)


def read_mapped_record(
    record: Record, mapping: ColumnMapping, clock: Clock
) -> ReadRow | RowProblem:
    """The row of ``record``, or what is wrong with it. Cells missing at its end count as empty."""
    if record.problem is not None:
        return record.problem
    line, text, cells, _ = record
    extra = [cell for cell in cells[len(mapping.roles) :] if cell.strip()]
    if extra:
        message = f"The row has {len(cells)} cells where the others have {len(mapping.roles)}."
        return RowProblem(line, "cell_count", "", message, text)
    named = zip(mapping.roles, cells, strict=False)
    present = {role: unguard_cell(cell).strip() for role, cell in named if role is not None}
    reader = _RowReader(mapping, present)
    try:
        values = reader.values()
    except CellError as error:
        return RowProblem(line, error.code, reader.field(), reader.message(error), text)
    return read_row(values, line, text, clock)


class _RowReader:
    """The cells of one row to the fields of our own format; remembers which cell it is at."""

    def __init__(self, mapping: ColumnMapping, cells: dict[Role, str]) -> None:
        self.mapping = mapping
        self.cells = cells
        self.at = Role.SCRAMBLE

    def values(self) -> dict[str, object]:
        for role in (Role.SCRAMBLE, Role.TIME):
            if not self.cell(role):
                raise CellError("missing_field", "it is empty; every row needs one")
        penalty, time_ms = self.result()
        values: dict[str, object] = {
            "scramble": self.cells[Role.SCRAMBLE],
            "time": format_time_exactly(time_ms),
            "penalty": str(penalty),
            "solution": self.cells.get(Role.SOLUTION),
            "timed_by": self.cells.get(Role.TIMED_BY),
            "step_ms": self.cells.get(Role.STEP_MS),
            "note": self.cells.get(Role.NOTE),
        }
        if cell := self.cell(Role.MARK_MS):
            values["mark_ms"] = read_marks(
                cell,
                unit=self.mapping.turn_unit,
                decimal_mark=self.mapping.decimal_mark,
                separator=self.mapping.turn_separator,
            )
        if cell := self.cell(Role.TURN_MS):
            values["turn_ms"] = read_turn_times(
                cell,
                unit=self.mapping.turn_unit,
                decimal_mark=self.mapping.decimal_mark,
                kind=self.mapping.turn_times,
                separator=self.mapping.turn_separator,
            )
        if cell := self.cell(Role.DONE_AT):
            assert self.mapping.date_order is not None
            values["done_at"] = read_moment(
                cell, self.cells.get(Role.CLOCK, ""), self.mapping.date_order
            )
        return values

    def cell(self, role: Role) -> str:
        self.at = role
        return self.cells.get(role, "")

    def result(self) -> tuple[Penalty, int]:
        marked = self.penalty()
        assert self.mapping.time_unit is not None
        time = read_time(self.cell(Role.TIME), self.mapping.time_unit, self.mapping.decimal_mark)
        penalty = marked or time.penalty or Penalty.NONE
        if marked and time.penalty and marked is not time.penalty:
            raise CellError("bad_penalty", f"the penalty column says {marked}; keep one of the two")
        if time.time_ms is None:
            raise CellError("missing_field", "a DNF needs its time too, as DNF(12.34)")
        reading = timer_reading(time.time_ms, penalty, self.mapping.is_plus_two_in_time)
        return penalty, reading

    def penalty(self) -> Penalty:
        word = self.cell(Role.PENALTY).casefold()
        meanings = {meaning.word.casefold(): meaning.means for meaning in self.mapping.penalties}
        if word and word not in meanings:
            raise CellError("bad_penalty", "say what this word means, or write +2 or DNF")
        return meanings.get(word, Penalty.NONE)

    def field(self) -> str:
        return Role.DONE_AT if self.at is Role.CLOCK else self.at

    def message(self, error: CellError) -> str:
        index = self.mapping.place(self.at)
        assert index is not None
        column = self.mapping.column(index)
        cell = self.cells.get(self.at, "")
        excerpt = cell if len(cell) <= 40 else cell[:40] + "…"
        what = f"{excerpt!r} cannot be taken; {error.mend}" if cell else error.mend
        return f"{column[0].upper()}{column[1:]}: {what}."
