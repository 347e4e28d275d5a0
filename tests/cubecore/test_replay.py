"""Replays by hand: how a row ends, its kind, its stages, skips, and what is refused."""

import pytest

from cubecore.book import default_book
from cubecore.endings import Status
from cubecore.errors import NotationError, NotSolvedError, RowError
from cubecore.replay import replay_row
from cubecore.results import Kind, Reason, Replay
from cubecore.rows import TIME_SLACK_MS, Penalty, Row, parse_row
from cubecore.turns import Face
from tests.cubecore import twin
from tests.cubecore.handmade import EDGES, PAIR, STEP_MS, SUNE, T_PERM, Stretch, dnf, timed_row
from tests.cubecore.solves import HOLDS, held_anew, outer


def replayed(row: Row) -> Replay:
    return replay_row(row, default_book())


SOLVE = (
    Stretch(900, "D2 B'"),  # the cross, from a start on which B and D2 broke it
    Stretch(700, f"y {PAIR}"),
    Stretch(600, f"y U {PAIR}"),
    Stretch(500, SUNE),
    Stretch(800, f"U' {T_PERM}"),
    Stretch(300, "U2"),
)


def test_a_whole_solve_with_its_stages_and_times():
    row = timed_row(*SOLVE)
    result = replayed(row)

    assert (result.status, result.kind, result.cross) == (Status.SOLVED, Kind.SOLVE, Face.D)
    assert (result.oll and result.oll.case, result.pll and result.pll.case) == (27, "T")
    # Turns: 2 for the cross, 3 and 4 for two pairs (two were home), 7, 1 + 14, 1.
    assert (result.cross_turn, result.f2l_turn) == (2, 9)
    assert (result.oriented_turn, result.permuted_turn) == (16, 31)
    assert result.f2l_ms == 900 + 700 + 600 + 6 * STEP_MS
    assert result.final_auf_ms == 300
    assert result.time_after(result.cross_turn) == 900 + STEP_MS
    assert result.time_after(0) == 0
    assert result.time_after(None) is None
    assert result.hesitation_ms == 260
    # The turns (counted from 0) that came after a pause of 260 ms or more.
    assert result.hesitations == (2, 5, 9, 16, 31)


def test_a_drill_starts_with_the_first_two_layers_home():
    result = replayed(timed_row(Stretch(500, SUNE)))

    assert (result.kind, result.f2l_turn, result.f2l_ms) == (Kind.DRILL, 0, 0)


def test_auf_alone_is_a_skip_of_the_whole_layer():
    result = replayed(timed_row(Stretch(500, "U"), Stretch(300, "U")))

    assert result.oll is not None
    assert result.pll is not None
    assert (result.oll.case, result.oll.looks, result.oll.execution_ms) == ("skip", (), 0)
    assert (result.pll.case, result.pll.looks, result.pll.recognition_ms) == ("skip", (), 0)
    assert result.final_auf_ms == 800


def test_the_last_pair_may_skip_the_orientation():
    result = replayed(timed_row(Stretch(500, PAIR), Stretch(900, T_PERM)))

    assert result.kind is Kind.SOLVE
    assert result.oll is not None
    assert result.pll is not None
    assert (result.oll.case, result.pll.case) == ("skip", "T")
    assert result.f2l_turn == result.oriented_turn == 3


def test_the_last_of_four_pairs_may_skip_the_whole_layer():
    result = replayed(timed_row(Stretch(500, PAIR)))

    assert (result.kind, result.reason) == (Kind.SOLVE, None)
    assert result.pair_turns == (0, 0, 0, 3)
    assert (result.oll and result.oll.case, result.pll and result.pll.case) == ("skip", "skip")


@pytest.mark.parametrize("pair", ["R U R'", "R U2 R' U' R U R'", "L' U' L", "F' U F"])
def test_a_skip_of_the_whole_layer_is_no_other_method_whatever_turn_comes_last(pair):
    # One turn before the end, all but one layer is home: that is no cross of another colour.
    result = replayed(timed_row(Stretch(500, f"D2 y {PAIR}"), Stretch(500, pair)))

    assert (result.cross, result.reason) == (Face.D, None)
    assert result.permuted_turn == result.f2l_turn == len(result.turns)


def test_layers_that_come_home_with_everything_else_were_not_solved_layer_by_layer():
    row = timed_row(Stretch(500, "F' U' R' L2 B D'"))
    result = replayed(row)

    assert result.status is Status.SOLVED
    assert result.reason is Reason.NOT_LAYER_BY_LAYER
    assert (result.cross, result.oll, result.pll, result.f2l_ms) == (None, None, None, None)
    assert result.final_auf_ms is None
    assert result.times == row.turn_ms


def test_a_row_without_a_solution_has_its_end_alone():
    for penalty, status in (
        (Penalty.NONE, Status.SOLVED),
        (Penalty.PLUS_TWO, Status.PLUS_TWO),
        (Penalty.DNF, Status.DNF),
    ):
        result = replayed(Row(scramble="R U", time_ms=9000, penalty=penalty))
        assert result == Replay(status=status, reason=Reason.NO_SOLUTION)


def test_a_whole_solve_may_have_a_penalty():
    result = replayed(timed_row(*SOLVE)._replace(penalty=Penalty.PLUS_TWO))

    assert result.status is Status.PLUS_TWO
    assert result.final_auf_ms == 300


def test_one_turn_short_is_taken_with_a_plus_two():
    # WCA Regulations 10e: off by one turn is a +2.
    row = timed_row(*SOLVE[:-1], solves=" ".join(stretch.text for stretch in SOLVE))
    result = replayed(row._replace(penalty=Penalty.PLUS_TWO))

    assert result.status is Status.PLUS_TWO
    assert (result.pll and result.pll.case, result.final_auf_ms) == ("T", 0)


def test_one_turn_short_without_a_plus_two_is_refused_with_that_hint():
    row = timed_row(*SOLVE[:-1], solves=" ".join(stretch.text for stretch in SOLVE))
    with pytest.raises(NotSolvedError, match=r"\+2") as caught:
        replayed(row)

    assert (caught.value.code, caught.value.field) == ("off_by_one", "solution")


def test_two_turns_short_is_not_solved_even_with_a_plus_two():
    row = Row(scramble="R U F", time_ms=900, solution="F'", penalty=Penalty.PLUS_TWO)
    with pytest.raises(NotSolvedError, match="belong together") as caught:
        replayed(row)

    assert caught.value.code == "not_solved"


@pytest.mark.parametrize("scramble", ["R U Fw", "x R U", "M R U2", "2Rw U' y2 F", "R U z' x"])
def test_a_solution_begins_in_the_hold_that_the_scramble_leaves(scramble):
    # The slow cube turns on in its hand, as a solver does; tests/cubecore/twin.py.
    plain = scramble.replace("2Rw", "r").replace("Fw", "f")
    solution = twin.inverse(plain)
    row = Row(scramble=scramble, time_ms=900, solution=solution)

    assert twin.after(twin.SOLVED, f"{plain} {solution}") == twin.SOLVED
    assert replay_row(row, default_book()).status is Status.SOLVED


def test_a_hint_names_the_rotation_from_the_hold_that_the_scramble_leaves():
    # f is B and z: what was red, on the right, lies below; from there the solver turned by y.
    row = Row(scramble="R U Fw", time_ms=900, solution="y Fw' U' R'")
    mended = row._replace(solution="y' y Fw' U' R'")

    with pytest.raises(NotSolvedError, match="if it began with y' "):
        replay_row(row, default_book())
    assert replay_row(mended, default_book()).status is Status.SOLVED


@pytest.mark.parametrize("hold", HOLDS[1:])
def test_a_solution_written_from_another_hold_says_which_rotation_would_mend_it(hold):
    solution = outer(f"{PAIR} {SUNE} U F B'")
    row = Row(scramble=twin.inverse(solution), time_ms=9000, solution=held_anew(solution, hold))
    with pytest.raises(NotSolvedError, match="began with") as caught:
        replayed(row)
    said = caught.value.message.split("began with ")[1].split(" (")[0]
    mended = row._replace(solution=f"{said} {row.solution}")

    assert replayed(mended).status is Status.SOLVED


@pytest.mark.parametrize(
    ("n_stretches", "f2l", "oriented", "permuted", "reason"),
    [
        (1, None, None, None, Reason.F2L_NOT_REACHED),
        (2, None, None, None, Reason.F2L_NOT_REACHED),
        (3, 9, None, None, None),
        (4, 9, 16, None, None),
        (5, 9, 16, 31, None),
        (6, 9, 16, 31, None),
    ],
)
def test_a_dnf_is_labelled_as_far_as_it_got(n_stretches, f2l, oriented, permuted, reason):
    whole = " ".join(stretch.text for stretch in SOLVE)
    result = replayed(dnf(timed_row(*SOLVE[:n_stretches], solves=whole)))

    assert (result.status, result.kind, result.reason) == (Status.DNF, Kind.SOLVE, reason)
    assert (result.f2l_turn, result.oriented_turn, result.permuted_turn) == (
        f2l,
        oriented,
        permuted,
    )
    assert (result.oll is None, result.pll is None) == (f2l is None, oriented is None)
    if result.oll is not None:
        assert (result.oll.case, result.oll.is_reached) == (27, oriented is not None)
    if result.pll is not None:
        assert (result.pll.case, result.pll.is_reached) == ("T", permuted is not None)


def test_a_dnf_of_rotations_alone_has_its_end_alone():
    row = Row(scramble="R U F", time_ms=900, solution="x y", turn_ms=(1, 2), penalty=Penalty.DNF)

    assert replayed(row).reason is Reason.F2L_NOT_REACHED


def test_a_scramble_that_mixes_nothing_is_refused():
    with pytest.raises(RowError, match="solved") as caught:
        replayed(Row(scramble="R L R' L' x", time_ms=900))

    assert (caught.value.code, caught.value.field) == ("scramble_solved", "scramble")


@pytest.mark.parametrize("field", ["scramble", "solution"])
def test_bad_notation_names_its_field_and_column(field):
    with pytest.raises(NotationError) as caught:
        replayed(parse_row({"scramble": "R", "time": 9, "solution": "R'", field: "R Q"}))

    assert (caught.value.field, caught.value.column, caught.value.token) == (field, 3, "Q")


def test_times_are_one_for_each_layer_turn_or_one_for_each_token():
    row = Row(scramble="U' R'", time_ms=900, solution="y x' R U y'")
    row = row._replace(scramble=twin.inverse(outer(row.solution or "")))
    by_layer = replayed(row._replace(turn_ms=(300, 400)))
    by_token = replayed(row._replace(turn_ms=(100, 200, 300, 400, 500)))

    assert by_layer.times == by_token.times == (300, 400)


@pytest.mark.parametrize("turn_ms", [(1,), (1, 2, 3), (1, 2, 3, 4, 5, 6)])
def test_any_other_count_of_times_is_refused(turn_ms):
    row = Row(scramble="x", time_ms=900, solution="y x' R U y'", turn_ms=turn_ms)
    row = row._replace(scramble=twin.inverse(outer(row.solution or "")))
    with pytest.raises(RowError, match="2 layer turns") as caught:
        replayed(row)

    assert (caught.value.code, caught.value.field) == ("turn_ms_count", "turn_ms")


def test_the_last_turn_may_end_a_little_after_the_timer_and_no_later():
    row = timed_row(Stretch(500, EDGES))
    assert row.turn_ms is not None
    end = row.turn_ms[-1]

    assert replayed(row._replace(time_ms=end - TIME_SLACK_MS)).status is Status.SOLVED
    with pytest.raises(RowError, match=f"{end} ms") as caught:
        replayed(row._replace(time_ms=end - TIME_SLACK_MS - 1))
    assert caught.value.code == "turn_after_end"
    # start and end are each read to a step of the instrument
    fine = row._replace(step_ms=34, time_ms=end - TIME_SLACK_MS - 68)
    assert replayed(fine).status is Status.SOLVED
    with pytest.raises(RowError, match=f"{end} ms"):
        replayed(fine._replace(time_ms=fine.time_ms - 1))


@pytest.mark.parametrize(
    ("solution", "turn_ms", "f2l_turn"),
    [
        # M is R and L' to the centres: half way through it F2L is home, but nobody sees that.
        (f"R U R2 M L x {SUNE}", (500, 607), 6),
        (f"R U R2 R L' L {SUNE}", (500, 500, 607), 6),
        (f"R U R2 R L' L {SUNE}", (500, 501, 607), 4),
    ],
)
def test_a_position_within_a_slice_is_no_stage(solution, turn_ms, f2l_turn):
    times = (104, 207, 311, *turn_ms, 904, 1007, 1111, 1213, 1317, 1422, 1531)
    row = Row(scramble=twin.inverse(outer(solution)), time_ms=2000, solution=solution)
    result = replayed(row._replace(turn_ms=times))

    assert result.f2l_turn == f2l_turn


@pytest.mark.parametrize("turn_ms", [(700,), (700, 700), (0, 0, 0)])
def test_times_without_a_gap_have_no_hesitation(turn_ms):
    turns = " ".join(["R U F"[2 * n] for n in range(len(turn_ms))])
    row = Row(scramble=twin.inverse(turns), time_ms=900, solution=turns, turn_ms=turn_ms)
    result = replayed(row)

    assert (result.hesitation_ms, result.hesitations) == (None, ())


@pytest.mark.parametrize(("pause", "hesitations"), [(259, ()), (260, (6,))])
def test_a_pause_of_the_multiple_itself_is_a_hesitation(pause, hesitations):
    # The median gap is 104 ms, so a hesitation starts at 260 ms.
    assert replayed(timed_row(Stretch(500, EDGES), Stretch(pause, SUNE))).hesitations == hesitations
