"""Homework checks: the sequential test's known runs, and what is read as a hit."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from math import exp, log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logs.homework.figures import Answer, Asked, Meeting, Usual, Way, case_check, learning, usual
from logs.stats.rates import AdoptionState, adoption

START = datetime(2026, 3, 1, tzinfo=UTC)
SLOWER = Usual(log_ms=log(1600), quick_log_ms=log(1400), sigma=0.2)
"""Of a member whose other cases take so long that every target here asks a gain."""


def meetings(hits: str, *, recognition_ms: int | None = 800) -> list[Meeting]:
    """``1`` one look, ``0`` two looks, ``-`` no look."""
    n_looks = {"1": 1, "0": 2, "-": 0}
    return [
        Meeting(n, START + timedelta(hours=n), n_looks[hit], hit == "1", recognition_ms)
        for n, hit in enumerate(hits)
    ]


# Wald's test (1945) at .30 against .85, worked by hand here. A hit adds ln(.85/.30) = 1.04, any other
# takes ln(.70/.15) = 1.54; verified from ln(.90/.05) = 2.89, not yet from ln(.10/.95) = -2.25. After a
# "not yet" it begins at 0 with alpha .01: verified from 4.50, not yet from -2.29; the third ends it.
# So 111 is 3.12; 01111 is 2.62 and one more 3.67; 00 is -3.08; 00, then five hits are 5.21.
@pytest.mark.parametrize(
    ("hits", "state", "n_read"),
    [
        ("", "open", 0),
        ("11", "open", 2),
        ("111", "verified", 3),
        ("011111", "verified", 6),
        ("11010111", "verified", 8),
        ("00", "not_yet", 2),
        ("0100", "not_yet", 4),
        ("11000", "not_yet", 5),
        ("000000", "ask_coach", 6),
        ("111000", "verified", 3),
        ("0011111", "verified", 7),
    ],
)
def test_one_look_runs_as_worked_by_hand(hits, state, n_read):
    check = case_check(meetings(hits), asked=Asked())
    assert check.state == state
    assert len(check.read) == n_read or state != "verified"
    assert check.one_look is not None
    if state == "verified":
        assert check.one_look.n == n_read
        assert check.verified_at == START + timedelta(hours=n_read - 1)
    else:
        assert check.verified_at is None


def test_a_solve_that_ended_before_a_look_is_not_read():
    check = case_check(meetings("1-1-1"), asked=Asked())
    assert check.state is AdoptionState.VERIFIED
    assert [one.solve_id for one in check.read] == [0, 2, 4]


def test_recognition_reads_the_timed_one_look_sightings_alone():
    fast, slow = meetings("111", recognition_ms=800), meetings("11", recognition_ms=1200)
    untimed = meetings("111", recognition_ms=None)
    asked = Asked(one_look=False, recognition_ms=800)
    assert case_check(fast, asked=asked, borrowed=SLOWER).state is AdoptionState.VERIFIED
    assert case_check(slow, asked=asked, borrowed=SLOWER).state is AdoptionState.NOT_YET
    silent = case_check(untimed, asked=asked)
    assert silent.state is AdoptionState.OPEN
    assert silent.recognition is not None
    assert silent.recognition.n == 0
    two_looks = case_check(meetings("000"), asked=asked)
    assert two_looks.recognition is not None
    assert two_looks.recognition.n == 0


def test_both_goals_are_verified_when_the_later_is():
    slow_first = [
        Meeting(n, START + timedelta(hours=n), 1, True, 800 if n > 1 else 2000) for n in range(12)
    ]
    check = case_check(slow_first, asked=Asked(recognition_ms=1000), borrowed=SLOWER)
    assert check.one_look is not None
    assert check.one_look.n == 3
    assert check.recognition is not None
    assert check.recognition.n == 7  # two misses end a run, the next asks five hits
    assert check.verified_at == START + timedelta(hours=6)
    assert [one.solve_id for one in check.read] == list(range(7))


def test_nothing_asked_is_refused():
    with pytest.raises(ValueError, match="nothing is asked"):
        Asked(one_look=False)


@given(st.text("01", max_size=12), st.randoms())
def test_order_of_arrival_changes_nothing(hits, random):
    rows = meetings(hits)
    shuffled = rows.copy()
    random.shuffle(shuffled)
    assert case_check(shuffled, asked=Asked()) == case_check(rows, asked=Asked())


@given(st.text("01", max_size=12))
def test_so_many_more_hits_verify_and_one_less_does_not(hits):
    check = case_check(meetings(hits), asked=Asked())
    if check.state in {AdoptionState.VERIFIED, AdoptionState.ASK_COACH}:
        return
    outcome = [adoption([h == "1" for h in hits + "1" * n]).state for n in range(check.n_more + 1)]
    assert outcome[-1] is AdoptionState.VERIFIED
    assert AdoptionState.VERIFIED not in outcome[:-1]


def earlier(hits: str, *, recognition_ms: int | None = None) -> list[Meeting]:
    rows = meetings(hits, recognition_ms=recognition_ms)
    return [replace(one, done_at=one.done_at - timedelta(days=30)) for one in rows]


def test_three_in_a_row_are_no_gain_to_who_did_half_of_them():
    check = case_check(meetings("111"), asked=Asked(), before=earlier("10101010"))
    assert check.state is AdoptionState.OPEN
    assert check.n_more > 2
    assert case_check(meetings("111"), asked=Asked(), before=earlier("00000000")).n_more == 0


def test_a_target_that_asks_no_gain_is_never_verified():
    fast = meetings("1" * 30, recognition_ms=800)
    asked = Asked(one_look=False, recognition_ms=900)
    usual = earlier("1111", recognition_ms=950)  # a tenth below is 855
    check = case_check(fast, asked=asked, before=usual)
    assert (check.state, check.is_gain_asked) == (AdoptionState.OPEN, False)
    slower = earlier("1111", recognition_ms=1100)
    check = case_check(fast, asked=asked, before=slower)
    assert (check.state, check.is_gain_asked) == (AdoptionState.VERIFIED, True)


def test_where_nothing_was_timed_before_the_first_three_times_are_what_it_is_held_against():
    asked = Asked(one_look=False, recognition_ms=900)
    as_before = case_check(meetings("1" * 20, recognition_ms=850), asked=asked)
    assert (as_before.state, as_before.is_gain_asked) == (AdoptionState.OPEN, False)
    first = meetings("111", recognition_ms=1300)
    later = [replace(one, done_at=one.done_at + timedelta(days=1)) for one in meetings("111")]
    assert case_check(first + later, asked=asked).state is AdoptionState.VERIFIED


def test_a_case_never_timed_is_expected_to_be_as_the_others_are():
    """Four alike cases, each timed four times at a second: a second, and hardly half of one."""
    others = {str(case): earlier("1111", recognition_ms=1000) for case in range(4)}
    found = usual(others)
    assert found.log_ms is not None
    assert exp(found.log_ms) == pytest.approx(1000, rel=0.01)
    assert found.quick_log_ms < found.log_ms
    assert found.share_within(500) < 0.30 < found.share_within(1000)
    three = dict(list(others.items())[:3])
    assert usual(three).log_ms is None  # too few cases to say what is usual
    own = earlier("11", recognition_ms=2000)
    leaning = usual(others, own).log_ms
    assert leaning is not None
    assert leaning > found.log_ms


def test_of_two_goals_the_one_further_behind_is_the_state():
    both = Asked(recognition_ms=500)
    slow = case_check(meetings("1" * 6, recognition_ms=900), asked=both, borrowed=SLOWER)
    assert slow.one_look is not None
    assert (slow.one_look.state, slow.state) == ("verified", "ask_coach")


def test_so_many_right_answers_running_are_reached_once():
    right = "111" + "0" + "1111"
    answers = [
        Answer(START + timedelta(hours=n), is_hold=False, is_right=told == "1")
        for n, told in enumerate(right)
    ]
    found = learning([], answers, way=Way.PRACTICE, n_wanted=3, is_shown=False, has_hold=False)
    assert (found.state, found.n_told_running) == ("ready", 4)
    assert found.ready_at == START + timedelta(hours=2)


def test_what_was_done_long_before_is_no_yardstick():
    """Ten in one look, then none of 24: the newest 24 alone are the member's rate before."""
    check = case_check(meetings("111"), asked=Asked(), before=meetings("1" * 10 + "0" * 24))
    assert check.state is AdoptionState.VERIFIED
    check = case_check(meetings("111"), asked=Asked(), before=meetings("0" * 24 + "1" * 10))
    assert check.state is AdoptionState.OPEN
