from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from cubecore.cases import CASES, Case
from logs import words


@pytest.mark.parametrize(
    ("time_ms", "status", "shown"),
    [
        (12_349, "solved", "12.34"),  # WCA Regulations 9f1: cut, not rounded
        (62_340, "solved", "1:02.34"),
        (12_340, "plus_two", "14.34 (+2)"),  # WCA Regulations 10e: two seconds on top
        (58_990, "plus_two", "1:00.99 (+2)"),
        (12_340, "dnf", "DNF, 12.34 on the timer"),
    ],
)
def test_a_time_is_shown_as_it_counts(time_ms: int, status: str, shown: str):
    assert words.reading(time_ms, status) == shown


@pytest.mark.parametrize(
    ("ms", "shown"),
    [
        (12_344.9, "12.34"),
        (12_345.0, "12.35"),
        (None, words.UNKNOWN),
        (float("nan"), "DNF"),
        (59_996, "1:00.00"),
    ],
)
def test_an_average_is_rounded(ms, shown: str):
    assert words.average(ms) == shown


def test_counts_have_their_word():
    assert [words.times(n) for n in (0, 1, 2, 1204)] == [
        "0 times",
        "1 time",
        "2 times",
        "1,204 times",
    ]
    assert [words.solves(n) for n in (0, 1, 1204)] == ["0 solves", "1 solve", "1,204 solves"]


def test_a_moment_is_shown_in_the_clubs_zone():
    summer = datetime(2026, 7, 3, 17, 4, tzinfo=UTC)
    assert words.moment(summer, ZoneInfo("Europe/Lisbon")) == "3 Jul 2026, 18:04"
    assert words.moment(None, ZoneInfo("UTC")) == "no date"


def test_a_range_without_ends_is_a_dash():
    assert words.band(None, 5.0) == words.band(float("nan"), float("nan")) == words.UNKNOWN
    assert words.band(800.0, 1100.0).split("\N{EN DASH}") == ["0.80", "1.10"]


@pytest.mark.parametrize(
    ("stage", "number", "title"),
    [("oll", "27", "OLL 27 Sune"), ("pll", "T", "PLL T"), ("oll", "skip", "OLL skip")],
)
def test_a_case_is_written_number_first(stage: str, number: str, title: str):
    assert words.case_title(stage, number) == title


@pytest.mark.parametrize(
    ("stage", "number"),
    [("oll", "58"), ("oll", "027"), ("oll", ""), ("oll", "²"), ("pll", "27"), ("x", "1")],
)
def test_what_is_no_case_is_found_nowhere(stage: str, number: str):
    assert words.find_case(stage, number) is None


@pytest.mark.parametrize("case", CASES.values(), ids=str)
def test_every_case_is_found_by_its_number(case: Case):
    assert words.find_case(case.id.stage.value, str(case.id.number)) is case


def test_a_share_has_its_sign():
    shares = (0.109, -0.163, -0.0002)
    assert [words.signed_pct(share) for share in shares] == [
        "+10.9",
        "\N{MINUS SIGN}16.3",
        "0.0",
    ]
    assert [words.pct(share) for share in shares] == ["11", "\N{MINUS SIGN}16", "0"]


def test_every_kind_has_its_word():
    assert [words.kind_words(kind) for kind in ("solve", "drill", "")] == [
        "solve",
        "drill",
        "time only",
    ]


def test_a_day_is_that_of_the_clubs_zone():
    """Half past eleven at night in UTC is the next day in Oslo, an hour on in winter."""
    late = datetime(2026, 3, 3, 23, 30, tzinfo=UTC)
    assert words.day_in(late, ZoneInfo("Europe/Oslo")) == "4 Mar 2026"
    assert words.day_in(late, ZoneInfo("UTC")) == "3 Mar 2026"


def test_an_estimate_has_the_digits_that_half_its_range_leaves_it():
    """Two digits of the half-width, 0.70 s and 1.4 s (GUM 7.2.6)."""
    assert words.estimate(5000, 4300, 5700) == ("5.00", "4.30 to 5.70")
    assert words.estimate(5000, 3600, 6400) == ("5.0", "3.6 to 6.4")
