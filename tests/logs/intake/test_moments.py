"""Instants: ISO 8601 with an offset, or local time in a zone (IANA time zone database)."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cubecore.errors import RowError
from logs.intake.rows import Clock, format_done_at, parse_done_at

FAR = datetime(2101, 1, 1, tzinfo=UTC)
CLOCK = Clock(ZoneInfo("Europe/Oslo"), FAR)
INSTANTS = st.integers(0, 3_900_000_000).map(lambda s: datetime.fromtimestamp(s + 157_766_400, UTC))


@pytest.mark.parametrize(
    "text",
    [
        "2026-03-07T18:05:00+01:00",
        "2026-03-07T17:05:00Z",
        "2026-03-07 18:05",
        "2026-03-07T18:05:00",
        "2026-03-07T18:05:00.000",
        "2026-03-07T18:05:00,000000",
        "2026-03-07T22:35:00+0530",
        "2026-03-07T12:05:00-05",
    ],
)
def test_spellings_of_one_instant(text):
    assert parse_done_at(text, CLOCK) == datetime(2026, 3, 7, 17, 5, tzinfo=UTC)


@pytest.mark.parametrize(
    "text",
    [
        "2026-W10-6T18:05",  # ISO 8601 too, but no calendar date
        "20260307T180500",
        "2026-03-07T18",
        "2026-03-07T24:01",
        "2026-13-01T00:00",
        "2026-03-07T18:05:00+25:00",
        "2026-03-07x18:05",
        "٢٠٢٦-03-07T18:05",  # digits, but not ASCII
        "now",
    ],
)
def test_anything_else_is_refused_with_the_text_and_two_examples(text):
    with pytest.raises(RowError) as caught:
        parse_done_at(text, CLOCK)
    assert caught.value.code == "bad_done_at"
    assert repr(text) in caught.value.message
    assert "2026-03-07T18:05:00+01:00" in caught.value.message


@pytest.mark.parametrize(
    "text", ["0001-01-01T00:00+14:00", "1973-12-31T23:59Z", "9999-12-31 23:59"]
)
def test_years_in_which_nobody_solved_are_refused(text):
    with pytest.raises(RowError, match="1974 to 2100"):
        parse_done_at(text, CLOCK)


def test_a_local_time_that_clocks_skipped_is_refused_but_not_with_its_offset():
    with pytest.raises(RowError, match="skipped"):
        parse_done_at("2026-03-29T02:30", CLOCK)
    assert parse_done_at("2026-03-29T02:30+01:00", CLOCK) == datetime(
        2026, 3, 29, 1, 30, tzinfo=UTC
    )


@given(
    INSTANTS,
    st.sampled_from(["Europe/Oslo", "America/St_Johns", "Australia/Lord_Howe", "UTC"]),
)
def test_a_written_instant_is_read_back_in_any_zone(instant, zone):
    assert parse_done_at(format_done_at(instant), Clock(ZoneInfo(zone), FAR)) == instant


@given(INSTANTS)
def test_a_local_time_is_the_instant_or_the_one_before_clocks_went_back(instant):
    local = instant.astimezone(CLOCK.time_zone).replace(tzinfo=None).isoformat()
    read = parse_done_at(local, CLOCK)
    assert read in {instant, instant - timedelta(hours=1)}
    assert read.astimezone(CLOCK.time_zone).replace(tzinfo=None).isoformat() == local


def test_a_date_more_than_a_day_ahead_of_its_file_is_refused_with_place_and_mend():
    received_at = datetime(2026, 3, 7, 12, tzinfo=UTC)
    clock = Clock(ZoneInfo("Europe/Oslo"), received_at)
    # The other side of the date line is at most a day ahead: UTC+14 against UTC-12 is 26 hours.
    assert parse_done_at("2026-03-08T12:00:00Z", clock) == received_at + timedelta(days=1)
    with pytest.raises(RowError) as refusal:
        parse_done_at("2026-07-03 18:05", clock)
    assert refusal.value.code == "done_at_ahead"
    assert refusal.value.field == "done_at"
    assert refusal.value.message == (
        "done_at: '2026-07-03 18:05' lies ahead: the file came on 2026-03-07;"
        " write the day on which it was done."
    )
