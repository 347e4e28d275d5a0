"""Coarse clocks, quarter turns for half turns, and the numbers the engine promises."""

import random

import pytest

from cubecore import skips, stages, turn_times
from cubecore.batch import replay_batch
from cubecore.book import default_book
from cubecore.compact import compact_row
from cubecore.jsonlines import replay_json
from cubecore.notation import parse_script
from cubecore.replay import replay_row
from cubecore.results import NoSplits, Replay
from cubecore.rows import TIME_SLACK_MS, Row
from tests.cubecore import twin
from tests.cubecore.handmade import EDGES, SUNE, T_PERM, Stretch, timed_row
from tests.cubecore.made_solves import METHODS, layered, logged_row
from tests.cubecore.solves import outer

PROMISED = [
    # What, its value, and where that comes from.
    (turn_times.HESITATION_MULTIPLE, 2.5, "a setting of ours"),
    (turn_times.COARSE_STEPS_MS, (100, 125), "the domain's rule: steps of 100 ms or coarser"),
    (turn_times.COARSE_SHARE, 0.75, "a setting of ours for 'most gaps'"),
    (turn_times.COARSE_FROM_GAPS, 4, "a setting of ours"),
    (stages.MIN_PAIRS_BEFORE_F2L, 2, "the domain's rule"),
    (stages.MIN_PAIRS_BEFORE_ALL, 3, "a setting of ours"),
    (stages.MAX_PAIRS_WITH_CROSS, 2, "a setting of ours"),
    (stages.MAX_PAIRS_WITH_CROSS_BEFORE_ALL, 1, "a setting of ours"),
    (skips.MAX_INSERT_TURNS, 4, "common practice, no source"),
    (TIME_SLACK_MS, 50, "a setting of ours"),
]


@pytest.mark.parametrize(("value", "promised", "source"), PROMISED)
def test_the_numbers_we_promise_are_these(value, promised, source):
    assert value == promised, source


def replayed(row: Row) -> Replay:
    """The replay of a row alone, which is what it has among many."""
    result = replay_row(row, default_book())
    assert replay_batch([compact_row(row)], default_book()) == [result]
    return result


def rounded(row: Row, step_ms: int) -> Row:
    assert row.turn_ms is not None
    ends = tuple(-(-end // step_ms) * step_ms for end in row.turn_ms)
    return row._replace(turn_ms=ends, time_ms=ends[-1] + 10)


TWO_LOOKS = timed_row(Stretch(533, EDGES), Stretch(877, SUNE), Stretch(911, T_PERM))


@pytest.mark.parametrize("step_ms", [100, 125, 200, 250, 500, 1000])
def test_a_coarse_clock_leaves_labels_and_stage_times_and_says_why(step_ms):
    fine, coarse = replayed(TWO_LOOKS), replayed(rounded(TWO_LOOKS, step_ms))
    assert coarse.no_splits is NoSplits.COARSE_CLOCK
    assert replay_json(coarse)["no_splits"] == "coarse_clock"
    assert (fine.no_splits, coarse.hesitations) == (None, ())
    for one, other in ((fine.oll, coarse.oll), (fine.pll, coarse.pll)):
        assert one is not None
        assert other is not None
        assert (one.case, one.angle) == (other.case, other.angle)
        assert [look.outcome for look in one.looks] == [look.outcome for look in other.looks]
        assert (other.recognition_ms, other.execution_ms) == (None, None)
        assert {look.recognition_ms for look in other.looks} == {None}
        assert one.stage_ms is not None
        assert other.stage_ms is not None
        assert abs(one.stage_ms - other.stage_ms) <= step_ms
    assert coarse.final_auf_ms is not None


@pytest.mark.parametrize("step_ms", [1, 10, 20, 50])
def test_a_finer_clock_is_not_coarse(step_ms):
    rng = random.Random(step_ms)
    for method in METHODS:
        row = rounded(logged_row(layered(rng, method), rng, "typed"), step_ms)
        assert replayed(row).no_splits is None


def test_two_looks_at_half_seconds_are_two():
    oll = replayed(rounded(TWO_LOOKS, 500)).oll
    assert oll is not None
    assert len(oll.looks) == 2


def test_a_coarse_clock_hides_no_slice():
    # At half seconds the turns round F2L's end come together; it is seen all the same.
    solution = f"R U R2 R L' L {SUNE} {T_PERM}"
    ends = tuple(range(500, 500 + 100 * len(outer(solution).split()), 100))
    row = Row(scramble=twin.inverse(outer(solution)), time_ms=9000, solution=solution, turn_ms=ends)
    tied = row._replace(turn_ms=(500, 500, 500, 500, 500, *ends[5:]))
    assert replayed(tied).f2l_turn == replayed(row).f2l_turn == 4


@pytest.mark.parametrize("apart_ms", [0, 1, 40])
def test_a_half_turn_of_auf_in_two_quarter_turns_is_lining_up(apart_ms):
    whole = timed_row(Stretch(500, EDGES), Stretch(900, f"U2 {SUNE}"), Stretch(900, T_PERM))
    parts, ends = [], []
    for token, end in zip(outer(whole.solution or "").split(), whole.turn_ms or (), strict=True):
        is_half = token.endswith("2")
        parts += [token[0], token[0]] if is_half else [token]
        ends += [end - apart_ms, end] if is_half else [end]
    quarters = whole._replace(solution=" ".join(parts), turn_ms=tuple(ends))
    one, two = replayed(whole), replayed(quarters)
    assert one.oll is not None
    assert two.oll is not None
    assert [look.outcome for look in two.oll.looks] == [look.outcome for look in one.oll.looks]
    assert [look.done for look in two.oll.looks] == [look.done for look in one.oll.looks]
    assert two.f2l_ms == one.f2l_ms
    if apart_ms == 0:
        lined_up = [look.lining_up_turns for look in two.oll.looks]
        assert lined_up == [look.lining_up_turns for look in one.oll.looks]
        assert two.oll.looks == tuple(
            look._replace(start=mine.start, end=mine.end)
            for look, mine in zip(one.oll.looks, two.oll.looks, strict=True)
        )


def test_turns_of_one_face_at_one_time_are_one_though_the_opposite_comes_between():
    # L and L' at one time as R are nothing: what is left is a Sune.
    solution = f"L R L' {SUNE.partition(' ')[2]}"
    ends = (500, 500, 500, *range(621, 621 + 6 * 121, 121))
    row = Row(scramble=twin.inverse(solution), time_ms=2000, solution=solution, turn_ms=ends)
    oll = replayed(row).oll
    assert oll is not None
    (look,) = oll.looks
    assert (look.algorithm, look.known, look.turns, look.end) == (SUNE, True, 7, 9)


def test_a_slice_made_again_at_once_is_a_half_turn_of_it_in_a_log_of_quarter_turns():
    turns = parse_script("U R L' R L' U' F U F' U").turns
    times = turn_times.measure_times((500, 620, 620, 660, 660, 780, 903, 1027, 1150, 1271))
    tied = turn_times.tied_positions(turns, times)
    # In the middle of each slice, and between the two.
    assert turn_times.hidden_positions(turns, [], times, tied) == [2, 3, 4]


# A layered solve, found by trying: half way through its first half turn the cross is home.
WHOLE = (
    "U B2 D' B B B' D F D F' D2 L D L' B D B' D2 R D2 R' D2 L' D' L D' L' D L D L B' L' B D2 R2 D' R "
    "D' R D R' D R2 D U' R D' R' U D"
)


def test_the_middle_of_a_half_turn_is_not_looked_at_in_a_log_of_quarter_turns():
    parts, ends, wholes = [], [], []
    now = 0
    for token in WHOLE.split():
        is_half = token.endswith("2")
        now += 160 if is_half else 121
        parts += [token[0], token[0]] if is_half else [token]
        ends += [now - 40, now] if is_half else [now]
        wholes.append(now)
    row = Row(scramble=twin.inverse(WHOLE), time_ms=now, solution=WHOLE, turn_ms=tuple(wholes))
    quarters = row._replace(solution=" ".join(parts), turn_ms=tuple(ends))
    one, two = replayed(row), replayed(quarters)
    assert one.reason is None
    times = [[r.time_after(turn) for turn in (r.cross_turn, *r.pair_turns)] for r in (one, two)]
    assert times[0] == times[1]
    assert one.cross_turn != replayed(quarters._replace(turn_ms=None)).cross_turn
