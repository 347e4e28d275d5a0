"""A row that was set aside says where it is wrong, and offers the one likely mend or none.

The turns are of common practice: R U R' U' is undone by U R U' R'.
"""

import json
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from logs.errors import RowProblem
from logs.intake.mapping import ColumnMapping, DateOrder, Role, Unit
from logs.intake.mends import ProblemPlace, RowFile, place_problem
from logs.intake.reading import read_mended
from logs.intake.rows import Clock, Format, ReadRow

CLOCK = Clock(ZoneInfo("Europe/Oslo"), datetime(2026, 3, 7, 12, tzinfo=UTC))
COLUMNS = ("scramble", "time", "penalty", "solution", "done_at")
CSV = RowFile(Format.CSV, COLUMNS)
JSON = RowFile(Format.JSON_LINES)
MAPPED = RowFile(
    Format.MAPPED,
    mapping=ColumnMapping(
        encoding="utf-8",
        separator=";",
        roles=(Role.DONE_AT, Role.SCRAMBLE, Role.TIME),
        names=("Tag", "Mischung", "Dauer"),
        decimal_mark=",",
        time_unit=Unit.SECONDS,
        date_order=DateOrder.DAY_FIRST,
    ),
)
SOLVED = "R U R' U',12.34,,U R U' R',"


def placed(text: str, file: RowFile = CSV) -> ProblemPlace:
    read = read_mended(
        text, format=file.format, columns=file.columns, line=7, clock=CLOCK, mapping=file.mapping
    )
    assert isinstance(read, RowProblem)
    return place_problem(read, file, CLOCK)


@pytest.mark.parametrize(
    ("text", "words", "before", "after"),
    [
        ('R U,"1:07,98",,,', "time", "1:07,98", "1:07.98"),
        ("R U,1:07,98,,,", "", "1:07,98", "1:07.98"),
        ("R U,1.07.98,,,", "time", "1.07.98", "1:07.98"),
        ("R U,12.34 s,,,", "time", "12.34 s", "12.34"),
        ("R U,12.34,dnf!,,", "penalty", "dnf!", "DNF"),
        ("R U,12.34,+2 s,,", "penalty", "+2 s", "+2"),
        ("R U,12.34,ok,,", "penalty", "ok", ""),
        ("R U,12.34,,,05.03.2026 18:05", "done_at", "05.03.2026 18:05", "2026-03-05 18:05:00"),
        ("R U,12.34,,,2026-07-03 18:05", "done_at", "2026-07-03 18:05", "2026-03-07 18:05"),
    ],
)
def test_a_likely_mend_is_offered_for_the_cell(text, words, before, after):
    place = placed(text)
    assert [cell.name for cell in place.cells if cell.is_marked] == ([words] if words else [])
    assert place.turn is None
    assert place.mend is not None
    assert (place.mend.before, place.mend.after) == (before, after)
    read = read_mended(place.mend.text, format=Format.CSV, columns=COLUMNS, line=7, clock=CLOCK)
    assert isinstance(read, ReadRow)


@pytest.mark.parametrize(
    "text",
    [
        "R U,12.34,late,,",
        "R U,soon,,,",
        "R U,12.34,,,01.02.2026 18:05",  # the first of February, or the second of January
        "R U,12.34,,,yesterday",
        "R U",
        'R U,"12.34',
    ],
)
def test_where_nothing_is_likely_or_two_things_are_none_is_offered(text):
    assert placed(text).mend is None


def test_the_marked_cell_stands_among_the_others_with_their_names():
    place = placed("R U,12.34,late,,")
    assert [(cell.name, cell.text, cell.is_marked) for cell in place.cells][:4] == [
        ("scramble", "R U", False),
        ("time", "12.34", False),
        ("penalty", "late", True),
        ("solution", "", False),
    ]


# What the engine refuses later is placed too: the row is read, and its turns are not.


def refused(field: str, text: str, file: RowFile = CSV) -> ProblemPlace:
    return place_problem(RowProblem(7, "unknown_token", field, "", text), file, CLOCK)


def test_a_turn_that_cannot_be_read_is_counted_and_mended_by_the_one_that_solves():
    place = refused("scramble", SOLVED.replace("R U R' U',12", "R U Q' U',12"))
    assert place.turn == 3
    assert place.mend is not None
    assert (place.mend.before, place.mend.after) == ("R U Q' U'", "R U R' U'")
    place = refused("solution", SOLVED.replace("U R U' R',", "U R U' R4,"))
    assert place.turn == 4
    assert place.mend is not None
    assert place.mend.after == "U R U' R'"


def test_a_turn_too_many_is_left_out_where_that_solves():
    mend = refused("solution", SOLVED.replace("U R U' R',", "U R ?? U' R',")).mend
    assert mend is not None
    assert mend.after.split() == ["U", "R", "U'", "R'"]


def test_no_turn_is_offered_where_none_solves_or_there_is_no_solution():
    assert refused("scramble", "R U Q' D,12.34,,U R U' R',").mend is None
    assert refused("scramble", "R U Q' U',12.34,,,").mend is None


@pytest.mark.parametrize("n_before", [0, 1, 10, 22])
def test_the_turn_at_fault_is_counted_from_1(n_before):
    assert refused("scramble", "R " * n_before + "Q U,1,,,").turn == n_before + 1


def test_a_mapped_row_is_mended_in_its_own_form():
    place = placed("05.03.2026;R U;7.5", MAPPED)
    assert [cell.is_marked for cell in place.cells] == [False, False, True]
    assert place.mend is not None
    assert (place.mend.after, place.mend.text) == ("7,5", '"05.03.2026";"R U";"7,5"')
    place = placed("03.07.2026;R U;7,5", MAPPED)
    assert place.mend is not None
    assert place.mend.after == "07.03.2026"


def test_an_object_is_mended_as_an_object():
    place = placed('{"scramble": "R U", "time": "1:07,98", "note": "=x"}', JSON)
    assert [cell.name for cell in place.cells if cell.is_marked] == ["time"]
    assert place.mend is not None
    assert json.loads(place.mend.text) == {"scramble": "R U", "time": "1:07.98", "note": "=x"}


@pytest.mark.parametrize("text", ["{", "[1]", '{"time": 3}', '{"scramble": [1], "time": 3}'])
def test_an_object_that_is_none_is_placed_without_a_mend(text):
    assert placed(text, JSON).mend is None
