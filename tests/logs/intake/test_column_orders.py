"""A file's columns in any order, a slip of the pen in any field: read right or asked, never swapped.

What each column holds is known from how the files were written; it stands in ``HELD``, by hand.
All orders of each file are asked with ``INTAKE_ORDERS=all`` (some minutes), a draw of them without.
"""

import csv
import io
import os
import random
from collections.abc import Iterator
from itertools import islice, permutations
from pathlib import Path

import pytest

from logs.intake.guess import guess_mapping, open_questions
from logs.intake.mapping import Role
from logs.intake.sample import take_sample
from logs.intake.source import SourceFile

MAPPED = Path(__file__).parents[3] / "fixtures" / "uploads" / "mapped"
IS_ALL = os.environ.get("INTAKE_ORDERS") == "all"
N_ORDERS = 6

# Encoding, separator, rows above the header, whether there is one, and what the columns hold; "-"
# is a column that is none of it. Of either_way.csv nobody can tell which is the scramble.
HELD: dict[str, tuple[str, str, int, bool, str]] = {
    "as_guarded.csv": ("utf-8", ";", 0, True, "done_at time penalty scramble note"),
    "bad_cells.csv": ("utf-8", ",", 0, True, "done_at time penalty scramble"),
    "comma_decimals.csv": ("cp1252", ";", 0, True, "done_at time penalty scramble solution -"),
    "either_way.csv": ("utf-8", ",", 0, True, "- time -"),
    "gaps_with_bars.csv": ("utf-8", ";", 0, True, "done_at turn_ms time solution penalty scramble"),
    "hours.csv": ("utf-8", ",", 0, True, "time scramble solution done_at turn_ms"),
    "hundredths.csv": ("utf-8", ",", 0, True, "- - time scramble done_at clock"),
    "longer_first.csv": ("utf-8", ",", 0, True, "solution time scramble"),
    "marks_in_time.txt": ("utf-16", "|", 2, True, "- done_at scramble time"),
    "no_names.tsv": ("utf-8", "\t", 0, False, "- done_at clock time penalty scramble solution turn_ms"),
    "three_texts.tsv": ("utf-8", "\t", 0, False, "scramble time - solution done_at"),
    "words_for_penalties.csv": ("utf-8-sig", ",", 0, True, "solution time penalty scramble turn_ms done_at"),
}  # fmt: skip
Table = list[list[str]]


def table_of(name: str) -> Table:
    """The rows of a file with its header, what stands above it put aside, all of one length."""
    encoding, separator, n_above, _, roles = HELD[name]
    text = (MAPPED / name).read_bytes().decode(encoding)
    lines = [line for line in text.splitlines() if name != "bad_cells.csv" or '"' not in line]
    rows = [row for row in csv.reader(lines, delimiter=separator) if any(row)][n_above:]
    width = len(roles.split())
    return [row + [""] * (width - len(row)) for row in rows if len(row) <= width]


def orders_of(name: str) -> Iterator[tuple[int, ...]]:
    """All orders of a file's columns, or a draw of them that has the first one turned round."""
    width = len(HELD[name][4].split())
    if IS_ALL:
        yield from permutations(range(width))
        return
    yield tuple(reversed(range(width)))
    rng = random.Random(name)
    for _ in range(N_ORDERS):
        yield tuple(rng.sample(range(width), width))


def slips_of(cell: str) -> Iterator[str]:
    """The cell with one slip: a strange sign, one left out, two changed round, another size."""
    at = len(cell) // 2
    yield cell[:at] + "?" + cell[at + 1 :]
    yield cell[:at] + cell[at + 1 :]
    yield cell[:at] + cell[at : at + 2][::-1] + cell[at + 2 :]
    letter = next((i for i in range(at, len(cell)) if cell[i].isalpha()), None)
    if letter is not None:
        yield cell[:letter] + cell[letter].swapcase() + cell[letter + 1 :]


def with_slips(table: Table, has_header: bool) -> Iterator[Table]:
    """The table as it is, with a slip in one cell of each column, and with one in all of them."""
    yield table
    row = 1 + has_header
    for column in range(len(table[0])):
        for slip in slips_of(table[row][column]):
            changed = [list(cells) for cells in table]
            changed[row][column] = slip
            yield changed
    changed = [list(cells) for cells in table]
    for column in range(len(table[0])):
        at = has_header + column % (len(table) - has_header)
        changed[at][column] = next(slips_of(changed[at][column]))
    yield changed


def written(table: Table, order: tuple[int, ...], name: str) -> bytes:
    encoding, separator, *_ = HELD[name]
    text = io.StringIO()
    writer = csv.writer(text, delimiter=separator)
    writer.writerows([row[at] for at in order] for row in table)
    return text.getvalue().encode(encoding)


def ways_of(name: str) -> Iterator[tuple[Table, tuple[int, ...]]]:
    """Tables with the orders that they are asked in: each slip in each order, or each in one."""
    tables = list(with_slips(table_of(name), HELD[name][3]))
    orders = list(orders_of(name))
    if IS_ALL and len(orders) > 1_000:  # each order once, the slips taken in turn
        yield from ((tables[at % len(tables)], order) for at, order in enumerate(orders))
        return
    yield from ((table, order) for order in orders for table in tables)


def test_twelve_odd_files_are_asked_about():
    assert {path.name for path in MAPPED.iterdir()} == HELD.keys()
    assert len(HELD) == 12


@pytest.mark.parametrize("name", HELD)
def test_columns_in_any_order_with_any_slip_are_read_right_or_asked_and_never_swapped(name):
    held = HELD[name][4].split()
    n_told = n_asked = 0
    for table, order in ways_of(name):
        sample = take_sample(SourceFile(written(table, order, name)))
        mapping = guess_mapping(sample).mapping
        where = f"{name} in order {order}: {table[1]}"
        for place, role in enumerate(mapping.roles):
            assert role is None or role == held[order[place]], where
        if {Role.SCRAMBLE, Role.TIME} <= set(mapping.roles):
            n_told += 1
        else:
            assert "roles" in open_questions(mapping, sample), where
            n_asked += 1
    always_asked = name in ("either_way.csv", "hundredths.csv")
    assert (n_told == 0) == always_asked
    if not always_asked:  # asking is no way out of telling
        assert n_told > 2 * n_asked


def test_the_draw_of_orders_has_no_file_as_it_stands():
    for name in HELD:
        assert (
            next(islice(orders_of(name), 1)) != tuple(range(len(HELD[name][4].split()))) or IS_ALL
        )
