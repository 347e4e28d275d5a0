"""A CSV file of any dialect, read as a member's mapping says."""

from collections.abc import Sequence
from datetime import tzinfo
from itertools import islice

from cubecore.rows import Penalty, format_time_exactly
from logs.errors import RowProblem, UploadRejectedError
from logs.intake.cells import CellError, read_moment, read_time, read_turn_times, timer_reading
from logs.intake.content import decode_as, refuse, split_lines
from logs.intake.csv_log import Record, records
from logs.intake.guard import unguard_cell
from logs.intake.mapping import ColumnMapping, Role, faults
from logs.intake.parsed import Format, ParsedUpload, ReadRow
from logs.intake.rows import RowSorter, read_row


def read_mapped(
    content: bytes, mapping: ColumnMapping, time_zone: tzinfo, *, limit: int | None = None
) -> ParsedUpload:
    """The file ``content``, read row by row; never raises on bad data.

    Args:
        content: The file's bytes.
        mapping: How it is written.
        time_zone: The club's zone, for times without an offset.
        limit: How many rows to read at most; all when None.
    """
    try:
        return _read(content, mapping, time_zone, limit)
    except UploadRejectedError as error:
        return ParsedUpload(format=Format.MAPPED, refusal=error.problems[0])


def _read(
    content: bytes, mapping: ColumnMapping, time_zone: tzinfo, limit: int | None
) -> ParsedUpload:
    for message in faults(mapping).values():
        refuse("mapping_incomplete", message)
    found = records(split_lines(decode_as(content, mapping.encoding)), 1, mapping.separator)
    n_above = mapping.n_before + mapping.has_header
    passed = list(islice(found, n_above))
    if len(passed) < n_above:
        refuse("empty_file", "The file has no rows below its header.")
    if mapping.has_header:
        _check_header(passed[-1], mapping)
    sorter = RowSorter()
    for record in islice(found, limit):
        sorter.add(read_mapped_record(record, mapping, time_zone))
    return ParsedUpload(
        format=Format.MAPPED,
        columns=mapping.names,
        rows=tuple(sorter.rows),
        problems=tuple(sorter.problems),
        unknown_columns=tuple(
            name for name, role in zip(mapping.names, mapping.roles, strict=False) if not role
        ),
    )


def _check_header(record: Record, mapping: ColumnMapping) -> None:
    """Make sure that the columns are those the mapping was made for."""
    names = shown_names(record.cells)
    if record.problem is not None:
        refuse(record.problem.code, f"Line {record.line}: {record.problem.message}")
    if tuple(map(str.casefold, names)) != tuple(map(str.casefold, mapping.names)):
        refuse(
            "other_header",
            f"Line {record.line} names other columns than those that were said."
            " Look at the columns again.",
        )


def shown_names(cells: Sequence[str]) -> tuple[str, ...]:
    """The names in a header as they are kept: trimmed, cut, printable."""
    return tuple("".join(filter(str.isprintable, cell.strip()))[:60] for cell in cells)


def read_mapped_record(
    record: Record, mapping: ColumnMapping, time_zone: tzinfo
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
    given = {role: unguard_cell(cell).strip() for role, cell in named if role is not None}
    reader = _RowReader(mapping, given)
    try:
        values = reader.values()
    except CellError as error:
        return RowProblem(line, error.code, reader.field(), reader.message(error), text)
    return read_row(values, line, text, time_zone)


class _RowReader:
    """The cells of one row to the fields of our own format; remembers which cell it is at."""

    def __init__(self, mapping: ColumnMapping, given: dict[Role, str]) -> None:
        self.mapping = mapping
        self.given = given
        self.at = Role.SCRAMBLE

    def values(self) -> dict[str, object]:
        for role in (Role.SCRAMBLE, Role.TIME):
            if not self.cell(role):
                raise CellError("missing_field", "it is empty; every row needs one")
        penalty, time_ms = self.result()
        values: dict[str, object] = {
            "scramble": self.given[Role.SCRAMBLE],
            "time": format_time_exactly(time_ms),
            "penalty": str(penalty),
            "solution": self.given.get(Role.SOLUTION),
            "note": self.given.get(Role.NOTE),
        }
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
                cell, self.given.get(Role.CLOCK, ""), self.mapping.date_order
            )
        return values

    def cell(self, role: Role) -> str:
        self.at = role
        return self.given.get(role, "")

    def result(self) -> tuple[Penalty, int]:
        said = self.penalty()
        assert self.mapping.time_unit is not None
        time = read_time(self.cell(Role.TIME), self.mapping.time_unit, self.mapping.decimal_mark)
        penalty = said or time.penalty or Penalty.NONE
        if said and time.penalty and said is not time.penalty:
            raise CellError("bad_penalty", f"the penalty column says {said}; keep one of the two")
        if time.time_ms is None:
            raise CellError("missing_field", "a DNF needs its time too, as DNF(12.34)")
        reading = timer_reading(time.time_ms, penalty, self.mapping.is_plus_two_in_time)
        return penalty, reading

    def penalty(self) -> Penalty:
        word = self.cell(Role.PENALTY).casefold()
        meanings = {known.casefold(): means for known, means in self.mapping.penalties}
        if word and word not in meanings:
            raise CellError("bad_penalty", "say what this word means, or write +2 or DNF")
        return meanings.get(word, Penalty.NONE)

    def field(self) -> str:
        return Role.DONE_AT if self.at is Role.CLOCK else self.at

    def message(self, error: CellError) -> str:
        index = self.mapping.place(self.at)
        assert index is not None
        column = self.mapping.column(index)
        cell = self.given.get(self.at, "")
        shown = cell if len(cell) <= 40 else cell[:40] + "…"
        what = f"{shown!r} cannot be taken; {error.mend}" if cell else error.mend
        return f"{column[0].upper()}{column[1:]}: {what}."
