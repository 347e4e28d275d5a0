"""Files of many dialects, all invented, give the solves they were written from.

They hold the three solves of ``fixtures/uploads/valid/timed.csv``, written out below. Instants were
counted by hand: Oslo is an hour ahead of UTC in early March (Directive 2000/84/EC); 1,772,471,100
seconds after the start of 1970 is 2 March 2026, 17:05 UTC (POSIX, by GNU date).
"""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from cubecore.rows import Penalty
from logs.intake.guess import Guess, guess_mapping, open_questions
from logs.intake.mapped import read_mapped
from logs.intake.mapping import (
    ColumnMapping,
    DateOrder,
    Meaning,
    Role,
    TurnTimes,
    Unit,
    header_key,
    mapping_from_json,
    mapping_to_json,
)
from logs.intake.reading import needs_mapping, read_upload
from logs.intake.rows import Clock, Format
from logs.intake.sample import take_sample
from logs.intake.source import SourceFile

UPLOADS = Path(__file__).parents[3] / "fixtures" / "uploads"
CLOCK = Clock(ZoneInfo("Europe/Oslo"), datetime(2100, 1, 1, tzinfo=UTC))
MOMENTS = [
    datetime(2026, 3, 2, 17, 5, tzinfo=UTC),
    datetime(2026, 3, 2, 17, 6, 30, tzinfo=UTC),
    datetime(2026, 3, 2, 17, 8, tzinfo=UTC),
]
TIMES = [7_670, 10_520, 6_020]
PENALTIES = [Penalty.NONE, Penalty.PLUS_TWO, Penalty.DNF]

# What each file leaves open, what a member answers, and what the mapping then is, so far as it is
# not what every other has.
OPEN: dict[str, set[str]] = {
    "comma_decimals.csv": {"date_order", "is_plus_two_in_time"},
    "no_names.tsv": {"date_order", "time_unit", "is_plus_two_in_time"},
    "marks_in_time.txt": {"is_plus_two_in_time"},
    "words_for_penalties.csv": set(),
    "hundredths.csv": {"roles", "time_unit"},
    "hours.csv": set(),
    "as_guarded.csv": {"is_plus_two_in_time"},
    "bad_cells.csv": {"is_plus_two_in_time"},
    "either_way.csv": {"roles"},
    "gaps_with_bars.csv": set(),
    "longer_first.csv": set(),
    "three_texts.tsv": set(),
}
ANSWERS: dict[str, dict[str, Any]] = {
    "comma_decimals.csv": {"date_order": DateOrder.DAY_FIRST},
    "no_names.tsv": {"date_order": DateOrder.MONTH_FIRST, "time_unit": Unit.MILLISECONDS},
    "words_for_penalties.csv": {
        "penalties": (
            Meaning("two more", Penalty.PLUS_TWO),
            Meaning("given up", Penalty.DNF),
            Meaning("fine", Penalty.NONE),
        )
    },
    "hundredths.csv": {
        "roles": (None, None, Role.TIME, Role.SCRAMBLE, Role.DONE_AT, Role.CLOCK),
        "time_unit": Unit.CENTISECONDS,
    },
    "either_way.csv": {"roles": (Role.SCRAMBLE, Role.TIME, Role.SOLUTION)},
}
GUESSED: dict[str, dict[str, Any]] = {
    "comma_decimals.csv": {
        "encoding": "cp1252",
        "separator": ";",
        "decimal_mark": ",",
    },
    "no_names.tsv": {
        "separator": "\t",
        "names": (),
        "turn_times": TurnTimes.GAPS,
        "turn_separator": "/",
    },
    "marks_in_time.txt": {
        "encoding": "utf-16",
        "separator": "|",
        "n_before": 2,
        "date_order": DateOrder.UNIX_SECONDS,
    },
    "words_for_penalties.csv": {
        "encoding": "utf-8",
        "turn_unit": Unit.SECONDS,
        "turn_times": TurnTimes.ENDS,
        "turn_separator": ",",
        "date_order": DateOrder.DAY_FIRST,
    },
    "hundredths.csv": {"date_order": DateOrder.YEAR_FIRST},
    "hours.csv": {
        "time_unit": Unit.SECONDS,
        "date_order": DateOrder.UNIX_MS,
        "turn_unit": Unit.CENTISECONDS,
        "is_plus_two_in_time": True,
    },
    "as_guarded.csv": {"separator": ";", "decimal_mark": ",", "date_order": DateOrder.YEAR_FIRST},
    "bad_cells.csv": {"separator": ",", "date_order": DateOrder.DAY_FIRST},
    "either_way.csv": {"time_unit": Unit.SECONDS},
    "gaps_with_bars.csv": {
        "separator": ";",
        "decimal_mark": ",",
        "turn_times": TurnTimes.GAPS,
        "turn_unit": Unit.CENTISECONDS,
        "turn_separator": "|",
        "is_plus_two_in_time": False,
        "date_order": DateOrder.DAY_FIRST,
    },
    "longer_first.csv": {"roles": (Role.SOLUTION, Role.TIME, Role.SCRAMBLE)},
    "three_texts.tsv": {
        "names": (),
        "roles": (Role.SCRAMBLE, Role.TIME, None, Role.SOLUTION, Role.DONE_AT),
    },
}
TIMED = {"no_names.tsv", "words_for_penalties.csv", "hours.csv"}
ALL_THREE = [
    "as_guarded.csv",
    "comma_decimals.csv",
    "marks_in_time.txt",
    "no_names.tsv",
    "words_for_penalties.csv",
]


def content_of(name: str) -> bytes:
    return (UPLOADS / "mapped" / name).read_bytes()


def guessed(name: str) -> Guess:
    return guess_mapping(take_sample(SourceFile(content_of(name))))


def answered(name: str) -> ColumnMapping:
    """The guess, with what a member would say to what it leaves open."""
    mapping = guessed(name).mapping
    answers = dict(ANSWERS.get(name, {}))
    if mapping.is_plus_two_in_time is None:
        answers["is_plus_two_in_time"] = False
    if name == "words_for_penalties.csv":  # no word of it says what it means
        roles = [Role.PENALTY if at == 2 else role for at, role in enumerate(mapping.roles)]
        answers["roles"] = tuple(roles)
    return replace(mapping, **answers)


def test_every_mapped_file_is_asked_about_here():
    assert {path.name for path in (UPLOADS / "mapped").iterdir()} == OPEN.keys() == GUESSED.keys()


@pytest.mark.parametrize("name", OPEN)
def test_what_the_cells_tell_is_guessed_with_a_reason(name):
    guess = guessed(name)
    for field, value in GUESSED[name].items():
        assert getattr(guess.mapping, field) == value, field
    places = [f"column-{at}" for at, role in enumerate(guess.mapping.roles) if role]
    for field in ("encoding", "separator", "has_header", *places):
        assert guess.reasons[field]


@pytest.mark.parametrize("name", OPEN)
def test_what_they_leave_open_is_asked_and_not_guessed(name):
    content = content_of(name)
    assert (
        set(open_questions(guessed(name).mapping, take_sample(SourceFile(content)))) == OPEN[name]
    )
    assert open_questions(answered(name), take_sample(SourceFile(content))) == {}


@pytest.mark.parametrize("name", ALL_THREE)
def test_the_three_solves_come_out_of_each_dialect(name):
    parsed = read_mapped(SourceFile(content_of(name)), answered(name), CLOCK)
    assert parsed.refusal is None
    assert parsed.problems == ()
    assert parsed.format is Format.MAPPED
    assert [read.row.time_ms for read in parsed.rows] == TIMES
    assert [read.row.penalty for read in parsed.rows] == PENALTIES
    assert [read.done_at for read in parsed.rows] == MOMENTS
    timed = read_upload(SourceFile((UPLOADS / "valid" / "timed.csv").read_bytes()), CLOCK)
    for read, known in zip(parsed.rows, timed.rows, strict=True):
        assert read.row.scramble == known.row.scramble
        if Role.SOLUTION in answered(name).roles:
            assert read.row.solution == known.row.solution
        if name in TIMED:
            assert read.row.turn_ms == known.row.turn_ms


def test_notes_keep_their_letters_separators_and_quotes():
    mapping = answered("comma_decimals.csv")
    roles = (*mapping.roles[:-1], Role.NOTE)
    rows = read_mapped(
        SourceFile(content_of("comma_decimals.csv")), replace(mapping, roles=roles), CLOCK
    ).rows
    assert [read.row.note for read in rows] == ["hübsch", "", "zu spät; aber fein"]
    rows = read_mapped(
        SourceFile(content_of("as_guarded.csv")), answered("as_guarded.csv"), CLOCK
    ).rows
    assert [read.row.note for read in rows] == ['=cosy; "warm"', "", ""]
    assert [read.line for read in rows] == [3, 4, 6]


def test_which_of_two_columns_of_times_is_the_solves_is_asked():
    guess = guessed("hundredths.csv")
    assert guess.mapping.place(Role.TIME) is None
    for column in ("column-1", "column-2"):
        assert guess.reasons[column].startswith("Columns 2 and 3 hold times: only you can say")
    parsed = read_mapped(
        SourceFile(content_of("hundredths.csv")), answered("hundredths.csv"), CLOCK
    )
    assert [read.row.time_ms for read in parsed.rows] == TIMES
    assert [read.done_at for read in parsed.rows] == MOMENTS


def test_which_of_two_columns_of_turns_is_the_scramble_is_told_with_its_reason_or_asked():
    reason = guessed("longer_first.csv").reasons["column-2"]
    assert reason.startswith("Its cells are turns; in 8 of the first rows the two together solve")
    reason = guessed("either_way.csv").reasons["column-2"]
    assert reason.endswith("Which are the scrambles only you can say.")


def test_two_seconds_that_are_in_the_time_are_taken_off_and_a_dnf_needs_its_time():
    # The file's +2 ends at 12.52, two seconds after its last turn; WCA Regulations 10e3.
    parsed = read_mapped(SourceFile(content_of("hours.csv")), answered("hours.csv"), CLOCK)
    assert [read.row.time_ms for read in parsed.rows] == TIMES[:2]
    assert parsed.rows[1].row.penalty is Penalty.PLUS_TWO
    assert parsed.rows[1].row.turn_ms is not None
    assert parsed.rows[1].row.turn_ms[-1] == 10_500
    (problem,) = parsed.problems
    assert (problem.line, problem.code, problem.field) == (4, "missing_field", "time")
    assert problem.message == (
        "Column 1 “How long”: 'DNF' cannot be taken; a DNF needs its time too, as DNF(12.34)."
    )


# Lines that were read, then (line, code, field) of those that were not.
BAD = [
    (3, "bad_date", "done_at"),
    (4, "bad_time", "time"),
    (5, "time_out_of_range", "time"),
    (6, "time_out_of_range", "time"),
    (8, "missing_field", "scramble"),
    (9, "cell_count", ""),
    (10, "bad_penalty", "time"),
    (11, "missing_field", "time"),
    (12, "bad_quotes", ""),
    (13, "done_at_never_came", "done_at"),
    (14, "bad_time", "time"),
    (15, "done_at_out_of_range", "done_at"),
]


def test_bad_cells_are_set_aside_with_line_column_reason_and_text():
    parsed = read_mapped(SourceFile(content_of("bad_cells.csv")), answered("bad_cells.csv"), CLOCK)
    assert [read.line for read in parsed.rows] == [2, 7, 16]
    assert [(p.line, p.code, p.field) for p in parsed.problems] == BAD
    lines = content_of("bad_cells.csv").decode().split("\n")
    for problem in parsed.problems:
        assert problem.text == lines[problem.line - 1]
    assert parsed.problems[0].message == (
        "Column 1 “day”: '31/02/2026' cannot be taken; write the date as 14/03/2026, the day first."
    )
    assert len(parsed.problems[-2].message) < 200


@pytest.mark.parametrize("name", OPEN)
def test_a_mapping_comes_back_from_json(name):
    mapping = answered(name)
    assert mapping_from_json(mapping_to_json(mapping)) == mapping


@pytest.mark.parametrize("name", OPEN)
def test_these_files_need_a_mapping_and_our_own_do_not(name):
    assert needs_mapping(SourceFile(content_of(name)), CLOCK)


@pytest.mark.parametrize("path", sorted((UPLOADS / "valid").iterdir()), ids=lambda path: path.name)
def test_our_own_files_need_none(path):
    assert not needs_mapping(SourceFile(path.read_bytes()), CLOCK)


def test_files_that_are_no_tables_with_scrambles_are_told_what_is_wrong_as_before():
    broken = UPLOADS / "broken"
    for name in ("empty.csv", "gzipped.csv", "nul.csv", "zipped.csv", "blank.csv"):
        assert not needs_mapping(SourceFile((broken / name).read_bytes()), CLOCK), name
    assert not needs_mapping(SourceFile(b"Dear coach,\nmy log, as we said,\nis on paper.\n"), CLOCK)


def test_a_file_under_our_names_with_other_dates_leads_to_the_mapping():
    text = "scramble,time,done_at\n" + "R U F' D,9.99,14/03/2026 18:05\n" * 3
    assert needs_mapping(SourceFile(text.encode()), CLOCK)
    text = "scramble,time,done_at\n" + "R U F' D,none,2026-03-14 18:05\n" * 3
    assert not needs_mapping(SourceFile(text.encode()), CLOCK)


def test_files_of_one_shape_share_a_key():
    mapping = answered("comma_decimals.csv")
    louder = replace(mapping, names=tuple(name.upper() for name in mapping.names), encoding="utf-8")
    assert header_key(mapping) == header_key(louder)
    assert header_key(mapping) != header_key(answered("no_names.tsv"))
    assert header_key(answered("no_names.tsv")) != header_key(replace(mapping, names=()))
