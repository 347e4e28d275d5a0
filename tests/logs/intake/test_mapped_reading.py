"""Any bytes under any mapping are read without an error; what was exported in any dialect comes back.

Python's own csv module and datetime write the files; what they write is what is expected.
"""

import csv
import io
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cubecore.rows import MAX_TIME_MS, Penalty
from logs.errors import UploadRejectedError
from logs.intake import rows as bounds
from logs.intake.cells import CellError, read_moment, read_time, read_us
from logs.intake.guess import guess_mapping, open_questions
from logs.intake.mapped import read_mapped
from logs.intake.mapping import (
    DECIMAL_MARKS,
    ENCODINGS,
    SEPARATORS,
    TURN_SEPARATORS,
    ColumnMapping,
    DateOrder,
    Meaning,
    Role,
    TurnTimes,
    Unit,
    faults,
    mapping_from_json,
    mapping_to_json,
)
from logs.intake.reading import needs_mapping
from logs.intake.rows import Clock
from logs.intake.sample import take_sample
from logs.intake.source import SourceFile

CLOCK = Clock(ZoneInfo("Europe/Oslo"), datetime(2100, 1, 1, tzinfo=UTC))
SCRAMBLES = ["F R U' R' U R U R2 F'", "L2 R2 D' L' R F2", "U' F R' F' L F R"]
TURNS = "R U R' U'"
WORDS = (
    Meaning("fine", Penalty.NONE),
    Meaning("two more", Penalty.PLUS_TWO),
    Meaning("gone", Penalty.DNF),
)
SPELLED = {meaning.means: meaning.word for meaning in WORDS}
PIECES = st.sampled_from(
    ["when;took\n", "R U F' D", "12,34", "1:02.34", "+2", "DNF", "DNF(", ")", ";", ",", "\t", "|",
     '"', '""', "\n", "\r\n", "\r", "\ufeff", "\x00", "ÿ", "\u2028", "'", "=1", " ", "14/03/2026",
     "2026-03-14T18:05:00.123Z", "1772471100", "9" * 30, "1 2 3", "[1,2,3]", "-", "٣", "1e9", "nan"]
)  # fmt: skip

MAPPINGS = st.builds(
    ColumnMapping,
    encoding=st.sampled_from(list(ENCODINGS)),
    separator=st.sampled_from(list(SEPARATORS)),
    roles=st.permutations(list(Role)).map(tuple),
    names=st.just(()),
    n_before=st.integers(0, 3),
    decimal_mark=st.sampled_from(list(DECIMAL_MARKS)),
    time_unit=st.sampled_from(Unit),
    date_order=st.sampled_from(DateOrder),
    penalties=st.just(WORDS),
    is_plus_two_in_time=st.none() | st.booleans(),
    turn_unit=st.sampled_from(Unit),
    turn_times=st.sampled_from(TurnTimes),
    turn_separator=st.sampled_from(list(TURN_SEPARATORS)),
)


def _is_accounted(content: bytes, mapping: ColumnMapping) -> None:
    """Each row of the file, as Python's csv module counts them, was taken or set aside."""
    parsed = read_mapped(SourceFile(content), mapping, CLOCK)
    if parsed.refusal is not None:
        assert parsed.n_rows == 0
        assert parsed.refusal.message
        return
    lines = [read.line for read in parsed.rows] + [read.line for read in parsed.problems]
    assert len(set(lines)) == len(lines) == parsed.n_rows
    assert all(problem.message and problem.text.strip() for problem in parsed.problems)
    text = content.decode(mapping.encoding).removeprefix("\ufeff")
    if '"' not in text:
        table = csv.reader(io.StringIO(text, newline=""), delimiter=mapping.separator)
        n_rows = sum(any(map(str.strip, cells)) for cells in table)
        assert parsed.n_rows == n_rows - mapping.n_before


@given(st.binary(max_size=300), MAPPINGS)
def test_any_bytes_are_read_under_any_mapping(content, mapping):
    _is_accounted(content, mapping)


@given(st.lists(PIECES, max_size=40), MAPPINGS)
def test_any_mixture_of_a_files_parts_is_read(pieces, mapping):
    encoding = mapping.encoding
    _is_accounted("".join(pieces).encode(encoding, "replace"), mapping)


@given(st.lists(PIECES, max_size=40).map("".join) | st.binary(max_size=300))
def test_a_guess_is_made_for_any_file_or_the_file_is_refused(text):
    content = text if isinstance(text, bytes) else text.encode("utf-8", "replace")
    needs_mapping(SourceFile(content), CLOCK)
    try:
        sample = take_sample(SourceFile(content))
    except UploadRejectedError:
        return
    mapping = guess_mapping(sample).mapping
    assert mapping_from_json(mapping_to_json(mapping)) == mapping
    open_questions(mapping, sample)
    assert (read_mapped(SourceFile(content), mapping, CLOCK).refusal is not None) or not faults(
        mapping
    )


# The round trip. Files say no more than a unit holds: hundredths where it counts hundredths.

SOLVES = st.lists(
    st.tuples(
        st.sampled_from(SCRAMBLES),
        st.integers(300, (MAX_TIME_MS - 2_000) // 10 - 1).map(lambda cs: cs * 10),
        st.sampled_from(Penalty),
        st.lists(st.integers(0, 90_000), min_size=4, max_size=4).map(
            lambda cs: tuple(sorted(c * 10 for c in cs))
        ),
        st.datetimes(datetime(2001, 1, 1), datetime(2098, 1, 1)).map(  # noqa: DTZ001 - UTC is put on below
            lambda moment: moment.replace(microsecond=0, tzinfo=UTC)
        ),
        st.text(st.sampled_from('aé ;,|\t"=+'), max_size=12).map(str.strip),
    ),
    min_size=1,
    max_size=5,
)
FORMS = {
    DateOrder.YEAR_FIRST: "%Y-%m-%dT%H:%M:%S+00:00",
    DateOrder.DAY_FIRST: "%d/%m/%Y %H:%M:%S Z",
    DateOrder.MONTH_FIRST: "%m/%d/%Y %I:%M:%S %p +0000",
}


def _number(us: int, unit: Unit, mark: str) -> str:
    if unit is Unit.SECONDS:
        return f"{us / 1e6:.2f}".replace(".", mark)
    return str(us // {Unit.CENTISECONDS: 10_000, Unit.MILLISECONDS: 1_000}[unit])


def _moment(moment: datetime, order: DateOrder) -> str:
    if order is DateOrder.UNIX_SECONDS:
        return str(int(moment.timestamp()))
    if order is DateOrder.UNIX_MS:
        return str(int(moment.timestamp()) * 1000)
    return moment.strftime(FORMS[order])


@given(SOLVES, MAPPINGS)
def test_what_is_written_in_any_dialect_comes_back(solves, mapping):
    mapping = replace(
        mapping,
        names=tuple(f"column {at}" for at in range(len(Role))),
        n_before=0,
        is_plus_two_in_time=mapping.is_plus_two_in_time is True,
        encoding="utf-8"
        if mapping.encoding in ("cp1251", "euc_kr", "shift_jis")
        else mapping.encoding,
    )
    if mapping.turn_separator == mapping.decimal_mark:
        mapping = replace(mapping, turn_separator=" ")
    table = io.StringIO()
    writer = csv.writer(table, delimiter=mapping.separator)
    writer.writerow(mapping.names)
    for scramble, time_ms, penalty, ends, moment, note in solves:
        shown_ms = time_ms + 2_000 * (penalty is Penalty.PLUS_TWO and mapping.is_plus_two_in_time)
        gaps = [after - before for before, after in zip((0, *ends), ends, strict=False)]
        turns = gaps if mapping.turn_times is TurnTimes.GAPS else ends
        cells: dict[Role, str] = {
            Role.SCRAMBLE: scramble,
            Role.TIME: _number(shown_ms * 1000, mapping.time_unit, mapping.decimal_mark),
            Role.PENALTY: SPELLED[penalty].upper(),
            Role.SOLUTION: TURNS,
            Role.TURN_MS: mapping.turn_separator.join(
                _number(turn * 1000, mapping.turn_unit, mapping.decimal_mark) for turn in turns
            ),
            **dict.fromkeys((Role.MARK_MS, Role.TIMED_BY, Role.STEP_MS), ""),
            Role.DONE_AT: _moment(moment, mapping.date_order),
            Role.CLOCK: "",
            Role.NOTE: note,
        }
        writer.writerow([cells[role] for role in mapping.roles])
    content = table.getvalue().encode(mapping.encoding)
    parsed = read_mapped(SourceFile(content), mapping, CLOCK)
    assert parsed.refusal is None
    assert parsed.problems == ()
    rows = [read.row for read in parsed.rows]
    back = [
        (row.scramble, row.time_ms, row.penalty, row.turn_ms, read.done_at, row.note)
        for row, read in zip(rows, parsed.rows, strict=True)
    ]
    assert back == solves


@given(st.integers(0, 10**9), st.sampled_from(list(DECIMAL_MARKS)))
def test_seconds_minutes_and_hours_count_as_timedelta_has_them(ms, mark):
    text = str(timedelta(milliseconds=ms))  # such as 0:01:02.340000, Python's own form
    if "day" not in text:
        assert read_us(text.replace(".", mark), Unit.SECONDS, mark) == ms * 1000


@given(st.datetimes(datetime(1974, 1, 1), datetime(2099, 1, 1)), st.sampled_from(list(FORMS)))  # noqa: DTZ001 - local on purpose
def test_dates_of_each_order_are_read_as_datetime_wrote_them(moment, order):
    moment = moment.replace(microsecond=0)
    form = FORMS[order].rpartition("+00")[0] or FORMS[order].removesuffix(" Z")
    read = datetime.fromisoformat(read_moment(moment.strftime(form.strip()), "", order))
    assert read == moment
    day, clock = moment.strftime(form.strip()).replace("T", " ").split(" ", 1)
    assert datetime.fromisoformat(read_moment(day, clock, order)) == moment


@pytest.mark.parametrize(
    ("cell", "time_ms", "penalty"),
    [
        ("12.34", 12_340, None),
        ("12.349999999", 12_349, None),  # cut, not rounded: WCA Regulations 9f1
        (" 1:02.34 s", 62_340, None),
        ("0:01:02", 62_000, None),
        ("12.34+", 12_340, Penalty.PLUS_TWO),
        ("12.34 (+2)", 12_340, Penalty.PLUS_TWO),
        ("dnf(12.34)", 12_340, Penalty.DNF),
        ("12.34 DNF", 12_340, Penalty.DNF),
        ("DNF", None, Penalty.DNF),
    ],
)
def test_penalties_marked_in_the_time_are_read_with_it(cell, time_ms, penalty):
    assert read_time(cell, Unit.SECONDS, ".") == (time_ms, penalty)


@pytest.mark.parametrize(
    "cell",
    ["", "+", "(12.34)", "1:60", "1:1:1:1", "-1", "1.2.3", "12,34", "٣", "1e3", "nan", "0", "59:59:59"],
)  # fmt: skip
def test_what_is_no_time_is_refused(cell):
    with pytest.raises(CellError):
        read_time(cell, Unit.SECONDS, ".")


def test_the_bounds_are_kept():
    mapping = ColumnMapping("utf-8", ",", (Role.SCRAMBLE, Role.TIME), time_unit=Unit.SECONDS)

    def code(content: bytes) -> str:
        refusal = read_mapped(SourceFile(content), mapping, CLOCK).refusal
        assert refusal is not None
        return refusal.code

    assert code(b"x" * (bounds.MAX_BYTES + 1)) == "file_too_large"
    assert code(b"R,1\n" * (bounds.MAX_ROWS + 1)) == "too_many_rows"
    assert code(b"\n" * (2 * bounds.MAX_LINES + 1)) == "too_many_lines"
    assert code(b"PK\x03\x04") == "not_text"
    assert code(b"R,\xff\n") == "not_in_encoding"
    with pytest.raises(UploadRejectedError, match="more than 60 columns; at most 60"):
        take_sample(SourceFile(b"," * 60 + b"x\n"))


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("encoding", "rot13"),
        ("separator", "x"),
        ("roles", ["king"]),
        ("roles", []),
        ("roles", [None] * 61),
        ("n_before", 21),
        ("penalties", [["late", "+4"]]),
        ("time_unit", "min"),
        ("turn_separator", ""),
    ],
)
def test_what_is_no_mapping_is_refused(field, value):
    mapping = ColumnMapping("utf-8", ",", (Role.SCRAMBLE, Role.TIME), time_unit=Unit.SECONDS)
    data: dict[str, Any] = mapping_to_json(mapping) | {field: value}
    with pytest.raises(ValueError, match=r"mapping|not a valid"):
        mapping_from_json(data)
    del data[field]
    with pytest.raises(ValueError, match="no column mapping"):
        mapping_from_json(data)


@pytest.mark.parametrize(
    ("roles", "words"),
    [
        ((Role.TIME,), "which column holds the scramble"),
        ((None, None), "the scramble and which the time"),
        ((Role.SCRAMBLE, Role.TIME, Role.TIME), "Two columns are marked as the time"),
        ((Role.SCRAMBLE, Role.TIME, Role.CLOCK), "A time of day needs its date"),
        ((Role.SCRAMBLE, Role.TIME, Role.TURN_MS), "Turn times need their turns"),
    ],
)
def test_columns_that_do_not_go_together_are_told(roles, words):
    mapping = ColumnMapping("utf-8", ",", roles, time_unit=Unit.SECONDS)
    assert words in faults(mapping)["roles"]
    refusal = read_mapped(SourceFile(b"R U,1,2"), mapping, CLOCK).refusal
    assert refusal is not None
    assert words in refusal.message


def test_a_file_under_other_names_than_the_mappings_is_refused():
    mapping = ColumnMapping(
        "utf-8", ",", (Role.SCRAMBLE, Role.TIME), ("mix", "took"), time_unit=Unit.SECONDS
    )
    assert read_mapped(SourceFile(b"MIX,Took\nR U,1\n"), mapping, CLOCK).n_rows == 1
    refusal = read_mapped(SourceFile(b"took,mix\n1,R U\n"), mapping, CLOCK).refusal
    assert refusal is not None
    assert refusal.code == "other_header"
