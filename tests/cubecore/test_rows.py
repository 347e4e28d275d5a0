"""Rows: fields read and checked, times in whole milliseconds and back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cubecore.errors import RowError
from cubecore.rows import (
    MAX_NOTE,
    MAX_TIME_MS,
    Penalty,
    Row,
    format_time,
    format_time_exactly,
    format_turn_ms,
    parse_penalty,
    parse_row,
    parse_time,
    parse_turn_ms,
)

times = st.integers(1, MAX_TIME_MS - 1)


def refusal(values: dict[str, object]) -> RowError:
    with pytest.raises(RowError) as caught:
        parse_row({"scramble": "R", "time": "1.00"} | values)
    return caught.value


@given(times)
def test_a_time_written_exactly_is_read_back(time_ms):
    assert parse_time(format_time_exactly(time_ms)) == time_ms


@given(times)
def test_a_time_as_a_json_number_of_seconds_is_the_same(time_ms):
    assert parse_time(time_ms / 1000) == time_ms


@given(times)
def test_a_shown_time_is_truncated_to_the_hundredth(time_ms):
    # WCA Regulations 9f1: measured to the nearest lower hundredth.
    shown = format_time(time_ms)

    assert time_ms >= 10 or shown == "0.00"
    if time_ms >= 10:
        assert parse_time(shown) == time_ms // 10 * 10


@pytest.mark.parametrize(
    ("time_ms", "shown", "exactly"),
    [
        (12_345, "12.34", "12.345"),
        (59_999, "59.99", "59.999"),
        (60_000, "1:00.00", "1:00.000"),
        (62_340, "1:02.34", "1:02.340"),
        (9, "0.00", "0.009"),
        (3_599_999, "59:59.99", "59:59.999"),
    ],
)
def test_times_are_written_as_the_trade_writes_them(time_ms, shown, exactly):
    assert format_time(time_ms) == shown
    assert format_time_exactly(time_ms) == exactly


@pytest.mark.parametrize(
    ("value", "time_ms"),
    [
        ("12.34", 12_340),
        (" 1:02.34 ", 62_340),
        ("12", 12_000),
        ("12.", 12_000),
        (12, 12_000),
        (0.001, 1),
        (12.5, 12_500),
        ("0:09.9", 9_900),
        ("90.5", 90_500),
    ],
)
def test_a_time_is_read(value, time_ms):
    assert parse_time(value) == time_ms


@pytest.mark.parametrize(
    ("value", "code"),
    [
        ("fast", "bad_time"),
        ("1:60.00", "bad_time"),
        ("1.2345", "bad_time"),
        ("1:2:3", "bad_time"),
        (":30", "bad_time"),
        ("-5", "bad_time"),
        (-5, "bad_time"),
        (1e300, "bad_time"),
        ("\u0661\u0662", "bad_time"),
        (True, "bad_time"),
        (["12"], "bad_time"),
        ("0", "time_out_of_range"),
        ("60:00", "time_out_of_range"),
        ("3600", "time_out_of_range"),
    ],
)
def test_what_is_no_time_is_refused(value, code):
    error = refusal({"time": value})

    assert (error.code, error.field) == (code, "time")
    assert error.message.startswith("time: ")


@given(st.lists(st.integers(0, MAX_TIME_MS - 1)).map(sorted).map(tuple))
def test_turn_times_are_read_back_from_text_and_from_json(turn_ms):
    assert parse_turn_ms(format_turn_ms(turn_ms)) == (turn_ms or None)
    assert parse_turn_ms(list(turn_ms)) == (turn_ms or None)
    assert format_turn_ms(None) == ""


@pytest.mark.parametrize(
    ("value", "code", "token"),
    [
        ("10 x", "bad_turn_ms", "x"),
        ("10 -2", "bad_turn_ms", "-2"),
        ("123456789", "bad_turn_ms", "123456789"),
        ([1, 2.5], "bad_turn_ms", "2.5"),
        ([1, True], "bad_turn_ms", "True"),
        ([-1], "bad_turn_ms", "-1"),
        ([MAX_TIME_MS], "bad_turn_ms", str(MAX_TIME_MS)),
        ({"a": 1}, "bad_turn_ms", "{'a': 1}"),
        ([5, 4], "falling_turn_ms", "4"),
        ("5 6 2", "falling_turn_ms", "2"),
    ],
)
def test_turn_times_that_cannot_be_are_refused_with_the_one_that_is_wrong(value, code, token):
    error = refusal({"turn_ms": value, "solution": "R'"})

    assert (error.code, error.field, error.token) == (code, "turn_ms", token)


@pytest.mark.parametrize("value", [None, "", [], "  "])
def test_no_turn_times_are_none(value):
    assert parse_turn_ms(value) is None


@pytest.mark.parametrize(
    ("value", "penalty"),
    [(None, Penalty.NONE), ("", Penalty.NONE), (" +2 ", Penalty.PLUS_TWO), ("dnf", Penalty.DNF)],
)
def test_a_penalty_is_read(value, penalty):
    assert parse_penalty(value) is penalty


@given(st.sampled_from(Penalty))
def test_a_penalty_is_read_back(penalty):
    assert parse_penalty(penalty.value) is penalty


@pytest.mark.parametrize("value", ["+4", "DNS", 2, True, [], {"a": 1}])
def test_what_is_no_penalty_is_refused(value):
    error = refusal({"penalty": value})

    assert (error.code, error.field) == ("bad_penalty", "penalty")
    assert "+2 or DNF" in error.message


def test_a_row_has_all_its_fields():
    row = parse_row(
        {
            "scramble": " R U ",
            "time": "12.34",
            "penalty": "+2",
            "solution": "U' R'",
            "turn_ms": "500 900",
            "done_at": "2025-02-03T18:04:05+01:00",
            "note": "new cube",
        }
    )

    assert row == Row(
        scramble="R U",
        time_ms=12_340,
        penalty=Penalty.PLUS_TWO,
        solution="U' R'",
        turn_ms=(500, 900),
        done_at="2025-02-03T18:04:05+01:00",
        note="new cube",
    )


def test_a_row_needs_no_more_than_scramble_and_time():
    assert parse_row({"scramble": "R", "time": 9.87}) == Row(scramble="R", time_ms=9_870)


@pytest.mark.parametrize("field", ["scramble", "time"])
@pytest.mark.parametrize("value", [None, ""])
def test_an_empty_required_field_is_named(field, value):
    error = refusal({field: value})

    assert (error.code, error.field) == ("missing_field", field)


@pytest.mark.parametrize("field", ["scramble", "solution", "done_at", "note"])
def test_a_field_that_is_no_text_is_named(field):
    error = refusal({field: 7})

    assert (error.code, error.field, error.token) == ("not_text", field, "7")


def test_a_text_may_be_so_long_and_no_longer():
    assert parse_row({"scramble": "R", "time": 1, "note": "n" * MAX_NOTE}).note == "n" * MAX_NOTE
    error = refusal({"note": "n" * (MAX_NOTE + 1)})
    assert error.code == "text_too_long"
    assert error.token == "n" * 40 + "\u2026"


def test_times_without_turns_are_refused():
    assert refusal({"turn_ms": [1, 2]}).code == "times_without_turns"


def test_a_long_value_is_shown_by_its_first_forty_characters():
    error = refusal({"time": "9" * 41})

    assert error.token == "9" * 40 + "\u2026"
    assert refusal({"time": "9" * 40}).token == "9" * 40


def test_the_time_that_falls_is_named_not_one_that_stays():
    with pytest.raises(RowError, match="5 stands before it") as refused:
        parse_turn_ms([2, 2, 5, 3])
    assert (refused.value.code, refused.value.token) == ("falling_turn_ms", "3")
