"""Five marks in the place of turn times: what they split, what they leave open, what they contradict.

What a mark is of, what marks can say and what they cannot is our own format's rule; README.md and
the page of explanations state it. The rows are turned by hand (`handmade`), so that each moment
expected here is a sum of pauses and steps written beside it.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cubecore.book import default_book
from cubecore.errors import RowError
from cubecore.replay import replay_row
from cubecore.results import Replay
from cubecore.rows import (
    MAX_TIME_MS,
    Marks,
    Row,
    TimedBy,
    format_mark_ms,
    parse_mark_ms,
    parse_row,
)
from tests.cubecore.handmade import EDGES, PAIR, SUNE, T_PERM, UA_PERM, Stretch, dnf, timed_row

BOOK = default_book()
ONE_LOOK = timed_row(
    Stretch(500, PAIR), Stretch(900, SUNE), Stretch(700, T_PERM), Stretch(300, "U")
)


def with_marks(row: Row, text: str) -> Row:
    return row._replace(turn_ms=None, mark_ms=parse_mark_ms(text))


def marked(row: Row, text: str) -> Replay:
    return replay_row(with_marks(row, text), BOOK)


def refusal(row: Row, text: str) -> RowError:
    with pytest.raises(RowError) as caught:
        marked(row, text)
    return caught.value


def test_marks_split_stages_done_in_one_look():
    result = marked(ONE_LOOK, "708 1608 2232 2932 4284")
    assert result.oll is not None
    assert result.pll is not None
    assert (result.f2l_ms, result.times) == (708, None)
    assert (result.oll.stage_ms, result.oll.recognition_ms, result.oll.execution_ms) == (
        *(1524, 900, 624),
    )
    assert (result.pll.stage_ms, result.pll.recognition_ms, result.pll.execution_ms) == (
        *(2052, 700, 1352),
    )
    # to the timer's reading, which is 10 ms after the last turn in these rows
    assert result.final_auf_ms == 310
    assert result.hesitations == ()


def test_marks_give_what_turn_times_give():
    timed = replay_row(ONE_LOOK, BOOK)
    by_marks = marked(ONE_LOOK, "708 1608 2232 2932 4284")
    assert timed.oll is not None
    assert by_marks.oll is not None
    assert by_marks.oll.looks[0] == timed.oll.looks[0]
    assert replace_looks(by_marks) == replace_looks(timed)


def replace_looks(result: Replay) -> list[tuple[int | None, ...]]:
    stages = [stage for stage in (result.oll, result.pll) if stage is not None]
    return [(stage.stage_ms, stage.recognition_ms, stage.execution_ms) for stage in stages]


def test_a_stage_of_two_looks_has_its_whole_alone():
    row = timed_row(Stretch(500, PAIR), Stretch(900, EDGES), Stretch(800, SUNE))
    assert replay_row(row, BOOK).oll is not None
    row = timed_row(
        Stretch(500, PAIR), Stretch(900, EDGES), Stretch(800, SUNE), Stretch(700, T_PERM)
    )
    result = marked(row, "708 1608 3000 4000 5000")
    assert result.oll is not None
    n_looks = len(result.oll.looks)
    assert n_looks > 1
    assert (result.oll.stage_ms, result.oll.recognition_ms, result.oll.execution_ms) == (
        *(2292, None, None),
    )
    assert {look.recognition_ms for look in result.oll.looks} == {None}


def test_a_mark_that_was_not_taken_leaves_open_what_hangs_on_it():
    result = marked(ONE_LOOK, "- 1608 2232 - 4284")
    assert replace_looks(result) == [(None, None, None), (2052, None, None)]
    assert result.f2l_ms is None
    whole = marked(ONE_LOOK, "708 - 2232 - -")
    assert replace_looks(whole) == [(1524, None, None), (None, None, None)]
    assert whole.final_auf_ms is None


def test_a_skip_takes_no_time_and_has_no_mark():
    row = timed_row(Stretch(500, PAIR), Stretch(700, T_PERM))
    result = marked(row, "708 - - 1408 2760")
    assert replace_looks(result) == [(0, 0, 0), (2052, 700, 1352)]
    error = refusal(row, "708 900 950 1408 2760")
    assert error.code == "mark_of_no_stage"
    assert error.message == (
        "mark_ms: mark 2, the first turn of the OLL, is 900, but the turns skipped it; write - there."
    )


def test_a_stage_that_marks_pass_over_must_be_skipped():
    error = refusal(ONE_LOOK, "708 - - 2932 4284")
    assert (error.code, error.field) == ("mark_missing", "mark_ms")
    assert "the turns have one (OLL 27)" in error.message
    marked(ONE_LOOK, "708 - - - 4284")  # nothing says that it was skipped


def test_a_mark_of_a_stage_that_never_ended_is_refused():
    row = dnf(timed_row(Stretch(500, PAIR), Stretch(900, SUNE), solves=f"{PAIR} {SUNE} {UA_PERM}"))
    assert replace_looks(marked(row, "708 1200 1332 - -"))[0] == (624, 492, 132)
    assert refusal(row, "708 1200 1332 - 1340").message.endswith(
        "but the turns never ended the PLL; write - there."
    )
    early = dnf(timed_row(Stretch(500, PAIR), solves=f"{PAIR} {SUNE}"))
    assert "the turns never came to it" in refusal(early, "708 720 - 730 -").message
    nowhere = dnf(timed_row(Stretch(500, "R U"), solves=f"{PAIR} {SUNE}"))
    assert "no first two layers" in refusal(nowhere, "100 - - - -").message


def test_a_drill_begins_with_its_first_two_layers_home():
    row = timed_row(Stretch(900, SUNE), Stretch(700, T_PERM))
    result = marked(row, "- 900 1524 2224 3576")
    assert result.f2l_ms == 0
    assert replace_looks(result) == [(1524, 900, 624), (2052, 700, 1352)]
    assert "leaves the first two layers home" in refusal(row, "500 900 1524 - -").message


marks = st.lists(st.none() | st.integers(0, MAX_TIME_MS - 1), min_size=5, max_size=5)


@given(marks)
def test_marks_are_read_back(values):
    given_ms = iter(sorted(value for value in values if value is not None))
    rising = Marks._make(None if value is None else next(given_ms) for value in values)
    expected = None if set(rising) == {None} else rising
    assert parse_mark_ms(format_mark_ms(rising)) == expected
    assert parse_mark_ms(list(rising)) == expected


ROW: dict[str, object] = {"scramble": "R", "time": "5.00", "solution": "R'"}


@pytest.mark.parametrize(
    ("values", "code", "words"),
    [
        ({"mark_ms": "1 2 3 4"}, "mark_ms_count", "there are 4"),
        ({"mark_ms": [1, 2, 3, 4, 5, 6]}, "mark_ms_count", "there are 6"),
        ({"mark_ms": "1 2 x 4 5"}, "bad_mark_ms", "'x' cannot be taken"),
        ({"mark_ms": [1, 2, True, 4, 5]}, "bad_mark_ms", "True"),
        ({"mark_ms": "1 2 - 1 5"}, "falling_mark_ms", "2 stands before it"),
        ({"mark_ms": "1 2 3 4 5051"}, "mark_after_end", "5051 ms, after the solve's 5000 ms"),
        ({"mark_ms": "1 2 3 4 5", "turn_ms": "1"}, "two_kinds_of_times", "keep one"),
        ({"mark_ms": "1 2 3 4 5", "solution": ""}, "times_without_turns", "mark_ms: there are"),
        ({"timed_by": "ear"}, "bad_timed_by", "sensor, video or hand"),
        ({"step_ms": "0"}, "bad_step_ms", "whole milliseconds"),
        ({"step_ms": 33.3}, "bad_step_ms", "whole milliseconds"),
    ],
)
def test_what_cannot_be_taken_is_refused_with_its_mend(values, code, words):
    with pytest.raises(RowError, match=words) as caught:
        parse_row(ROW | values)
    assert caught.value.code == code


def test_how_times_were_taken_is_kept():
    row = parse_row(ROW | {"mark_ms": "1 2 3 4 5", "timed_by": " Video ", "step_ms": "33"})
    assert (row.mark_ms, row.timed_by, row.step_ms) == (
        Marks._make((1, 2, 3, 4, 5)),
        TimedBy.VIDEO,
        33,
    )
    bare = parse_row(ROW | {"mark_ms": "- - - - -", "timed_by": "", "step_ms": None})
    assert (bare.mark_ms, bare.timed_by, bare.step_ms) == (None, None, None)
