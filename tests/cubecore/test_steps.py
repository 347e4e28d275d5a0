"""No mistake where there was none: steps, repairs, seams and how skips came.

Algorithms and what beginners do with them are common practice, no source; the rules are the domain's.
"""

from itertools import accumulate

import pytest

from cubecore.batch import replay_batch
from cubecore.book import default_book
from cubecore.cases import CaseId, Stage
from cubecore.compact import compact_row
from cubecore.outcomes import Done, Outcome
from cubecore.replay import replay_row
from cubecore.results import LastLayerStage, Reason, Replay
from cubecore.rows import Row, parse_row
from cubecore.skips import SkipOrigin
from tests.cubecore import twin
from tests.cubecore.handmade import AA_PERM, EDGES, PAIR, SUNE, T_PERM, UA_PERM, Stretch, timed_row
from tests.cubecore.solves import layer_tokens, outer

H_PERM = "M2 U M2 U2 M2 U M2"
E_PERM = "x' R U' R' D R U R' D' R U R' D R U' R' D' x"
Y_PERM = "F R U' R' U' R U R' F' R U R' U' R' F R F'"


def replayed(row: Row) -> Replay:
    """The replay of a row alone, which is what it has among many."""
    result = replay_row(row, default_book())
    assert replay_batch([compact_row(row)], default_book()) == [result]
    return result


def looks(stage: LastLayerStage | None) -> list[str]:
    assert stage is not None
    return [look.outcome.value for look in stage.looks]


def drill(solution: str, *, gap_ms: int = 120, pauses: dict[int, int] | None = None) -> Row:
    """A timed row of ``solution``; ``pauses`` says by the number of a turn what it waits more."""
    pauses = {} if pauses is None else pauses
    n = len(layer_tokens(solution))
    ends = tuple(accumulate(gap_ms + pauses.get(turn, 0) for turn in range(n)))
    scramble = twin.inverse(outer(solution))
    return Row(scramble=scramble, time_ms=ends[-1] + 20, solution=solution, turn_ms=ends)


@pytest.mark.parametrize(
    ("scramble", "solution", "expected"),
    [
        (
            "R U2 R' U' R U' R' U2 F U R U' R' F' U' F U R U' R' F'",
            f"{EDGES} U {EDGES} U2 {SUNE}",
            ["step", "edges", "finished"],
        ),
        (
            "R U2 R' U' R U' R' U' R U2 R' U' R U' R'",
            "R U R' U R U2 R' U R U R' U R U2 R'",
            ["step", "finished"],
        ),
    ],
    ids=["an angle by the edges twice, then a Sune", "Pi by two Sunes"],
)
def test_an_orientation_in_steps_has_no_misfire(scramble, solution, expected):
    row = parse_row({"scramble": scramble, "time": 8.165, "solution": solution})
    result = replayed(row)
    assert looks(result.oll) == expected
    assert looks(result.pll) == []


def test_z_by_one_u_perm_twice_is_a_step_and_the_end():
    result = replayed(timed_row(Stretch(500, UA_PERM), Stretch(900, f"U' {UA_PERM}")))
    assert result.pll is not None
    assert (result.pll.case, looks(result.pll)) == ("Z", ["step", "finished"])


def test_a_step_says_whose_algorithm_it_was():
    result = replayed(timed_row(Stretch(500, SUNE), Stretch(900, f"U {SUNE}")))
    assert result.oll is not None
    step, end = result.oll.looks
    assert (step.case, step.done) == (CaseId(Stage.OLL, 22), Done(CaseId(Stage.OLL, 27), None))
    assert (end.case, end.done) == (CaseId(Stage.OLL, 27), Done(CaseId(Stage.OLL, 27), 0))


def slip(oll: str) -> Replay:
    """An OLL's algorithm made where a T shows, then made right again."""
    undone = twin.inverse(oll)
    return replayed(timed_row(Stretch(500, undone), Stretch(900, oll), Stretch(900, T_PERM)))


@pytest.mark.parametrize("oll", [SUNE, EDGES, "R U R' U' R' F R F'", "F R' F' R U R U' R'"])
def test_an_orientation_that_a_slip_left_is_repaired_by_its_own_algorithm(oll):
    # Where the layer is oriented, the inverse of an OLL's algorithm breaks it into that OLL.
    result = slip(oll)
    assert looks(result.pll) == ["misfire", "repair", "finished"]


def test_an_orientation_that_another_way_brings_back_is_a_step():
    unknown = "R U' L' U R' U' L"  # three corners round; the book does not have it
    there, back = twin.inverse(unknown), unknown
    result = replayed(timed_row(Stretch(500, there), Stretch(900, back), Stretch(900, T_PERM)))
    assert looks(result.pll) == ["misfire", "step", "finished"]


def test_a_repair_from_a_wrong_hold_is_a_misfire():
    row = timed_row(
        Stretch(500, twin.inverse(SUNE)),
        Stretch(900, f"U {SUNE}"),
        Stretch(900, twin.inverse(f"U {SUNE}")),
        Stretch(900, f"{SUNE}"),
        Stretch(900, T_PERM),
    )
    assert looks(replayed(row).pll)[1] == "misfire"


@pytest.mark.parametrize("corners", [AA_PERM, "x' R U' R' D R U R' D' R U R' D R U' R' D' x"])
def test_corners_that_stood_in_an_h_are_lost_by_a_corner_algorithm(corners):
    row = timed_row(
        Stretch(500, corners), Stretch(900, twin.inverse(corners)), Stretch(900, H_PERM)
    )
    result = replayed(row)
    assert result.pll is not None
    assert (result.pll.case, looks(result.pll)[0]) == ("H", "misfire")


@pytest.mark.parametrize("oll", [2, 3, 4, 12, 41, 42])
def test_an_algorithm_that_passes_through_f2l_is_joined_with_what_comes_right_before(oll):
    text = next(entry.text for entry in default_book().algorithms_in_parts(CaseId(Stage.OLL, oll)))
    (look,) = replayed(drill(f"F R R' F' {text}")).oll.looks  # type: ignore[union-attr]  # a drill of an OLL has one
    assert (look.outcome, look.done) == (Outcome.FINISHED, Done(CaseId(Stage.OLL, oll), 0))


@pytest.mark.parametrize(("case", "perm"), [("Y", Y_PERM), ("E", E_PERM)])
def test_a_permutation_with_a_start_taken_back_before_it_is_one_look(case, perm):
    result = replayed(drill(f"F R R' F' {perm}"))
    assert result.pll is not None
    (look,) = result.pll.looks
    assert (result.pll.case, look.done) == (case, Done(CaseId(Stage.PLL, case), 0))


@pytest.mark.parametrize("perm", [Y_PERM, E_PERM], ids=["Y", "E"])
@pytest.mark.parametrize("following", ["", T_PERM], ids=["to the end", "as a step"])
def test_a_permutation_that_passes_through_f2l_is_one_look_wherever_a_pause_is(perm, following):
    n_turns = len(layer_tokens(perm))
    for paused in range(1, n_turns):
        row = drill(f"{perm} {following}", pauses={paused: 2000, n_turns: 2000})
        result = replayed(row)
        assert result.pll is not None
        assert "misfire" not in looks(result.pll), paused
        assert len(result.pll.looks) == (2 if following else 1), paused
        assert result.pll.looks[0].done is not None


def test_a_start_taken_back_is_no_part_of_an_algorithm_by_its_length():
    assert {13} <= {entry.normal.htm for entry in default_book().algorithms(CaseId(Stage.OLL, 18))}
    eleven = next(
        entry.text
        for entry in default_book().algorithms(CaseId(Stage.OLL, 18))
        if entry.normal.htm == 11
    )
    result = replayed(drill(f"F F' {eleven}", pauses={2: 3000}))
    assert looks(result.oll) == ["step", "finished"]


@pytest.mark.parametrize("start", ["R R'", "F F'"])
@pytest.mark.parametrize(("pause", "n_looks"), [(3000, 2), (0, 1)])
def test_starts_taken_back_are_told_alike_and_part_a_look_by_their_pause(start, pause, n_looks):
    result = replayed(drill(f"{start} {SUNE}", pauses={2: pause}))
    assert result.oll is not None
    assert len(result.oll.looks) == n_looks
    last = result.oll.looks[-1]
    assert (last.outcome, last.algorithm, last.done) == (
        Outcome.FINISHED,
        SUNE,
        Done(CaseId(Stage.OLL, 27), 0),
    )
    assert last.turns == (7 if n_looks == 2 else 8)


def test_auf_turns_between_are_no_pause():
    result = replayed(drill(f"{EDGES} U U2 {SUNE}"))
    assert result.oll is not None
    assert len(result.oll.looks) == 1


def test_an_algorithm_with_turns_taken_back_inside_is_not_the_books():
    result = replayed(drill("R U R' U R U L L' U R'"))
    assert result.oll is not None
    (look,) = result.oll.looks
    assert (look.outcome, look.turns, look.done) == (Outcome.FINISHED, 9, None)


def test_a_hold_is_judged_where_the_algorithm_begins():
    # After a start taken back the layer is turned on: a Sune from an angle that is off.
    row = drill(f"F F' U {SUNE} {twin.inverse(f'U {SUNE}')} {SUNE}", pauses={10: 2000, 18: 2000})
    result = replayed(row)
    assert result.oll is not None
    first = result.oll.looks[0]
    alone = replayed(
        drill(f"U {SUNE} {twin.inverse(f'U {SUNE}')} {SUNE}", pauses={8: 2000, 16: 2000})
    )
    assert alone.oll is not None
    assert first.done == alone.oll.looks[0].done
    assert first.done is not None
    assert first.done.is_held_wrongly


def test_edges_that_stood_are_lost_by_an_edge_algorithm():
    # Three corners round are left to do; an edge algorithm moves the edges that stood.
    row = timed_row(
        Stretch(500, UA_PERM), Stretch(900, twin.inverse(UA_PERM)), Stretch(900, AA_PERM)
    )
    result = replayed(row)
    assert result.pll is not None
    assert (result.pll.case, looks(result.pll)[0]) == ("Aa", "misfire")


def test_corners_that_are_up_already_are_not_put_up_again():
    two_edges = "R U R' U' M' U R U' r'"  # common practice, no source: flips two edges alone
    row = timed_row(
        Stretch(500, two_edges), Stretch(900, f"U {two_edges}"), Stretch(900, f"U {two_edges}")
    )
    result = replayed(row)
    assert result.oll is not None
    assert result.oll.corner_step == 0
    assert "corners" not in looks(result.oll)


# --- Whose F2L, and skips ------------------------------------------------------------------------


def test_exactly_two_pairs_before_f2l_are_enough():
    # L' and L round an insert take two slots out at once: with two others standing it is layered.
    two_at_once = f"L' {PAIR} L"
    row = timed_row(Stretch(500, two_at_once), Stretch(900, SUNE), Stretch(900, T_PERM))
    result = replayed(row)
    n_before = sum(turn < (result.f2l_turn or 0) for turn in result.pair_turns)
    assert (result.reason, n_before) == (None, 2)


# Made at random by cross, pairs one by one, and two at once at the end: on the way from the second pair
# to both of the last all corners of the cube are home by chance.
LAYERED = [
    "x2 B' B2 R2 D U B2 D2 y U R U' R' y U2 R U2 R' y L' R U R' L U r U R' U' r' R U R U' R' U' R U' R U R U R "
    "U' R' U' R2 U2",
    "z' F' L R2 U2 F R' R F' y U R U R' y U' R U' R' y L' R U R' L U F R U R' U' F' F R U R' U' F' U2 R U R' "
    "U R U2 R' U' R U R' U R U2 R' R U' R U R U R U' R' U' R2 U'",
]


@pytest.mark.parametrize("solution", LAYERED)
def test_corners_that_come_home_by_chance_on_the_way_to_two_pairs_are_no_method(solution):
    row = Row(scramble=twin.inverse(outer(solution)), time_ms=9000, solution=solution)
    assert replayed(row).reason is None


# Made at random by two blocks, corners and six edges, and by edges and then corners: on the way a
# cross comes home with three of its pairs by one turn, and its F2L later; or with two, and all the
# cube later by one turn.
BLOCKS = [
    "z' L2 B F' F' R U' U2 U2 r2 M M' U' U R' M' R' U' r' U2 U2 M2 M' r U F R U R' U' F' M U2 M' U M U2 M U' "
    "M2",
    "x2 L U' L2 F2 R L' D r' M' r' U2 R2 U2 r r2 M2 M U2 r M' U U' R U R' U' R' F R2 U' R' U' R U R' F' "
    "M2 U' M U2 M2 U2 M2 U2 M' U' M2",
    "B' B' F B2 F2 R' R' B R2 r U2 U2 r r2 M2 U' r r' r' R r R' R U R' U' F R U' R' U' R U R' F' R U R' "
    "U' R' F R F' M2 U2 M2 U' M2 U M' U2 M U' M2",
    "F R2 B D' B2 B' F' U' U U2 x R U R' D R U' R' D' x R' D' R U R' D R U' z R U R' D R U' R' D' z R' "
    "D' R U R' D R U' y D2 R U' L' U R' U' L U D2 y F R U' L' U R' U' L U F'",
]


@pytest.mark.parametrize("solution", BLOCKS)
def test_pairs_that_come_with_the_cross_are_blocks(solution):
    row = Row(scramble=twin.inverse(outer(solution)), time_ms=9000, solution=solution)
    assert replayed(row).reason is Reason.NOT_LAYER_BY_LAYER


def test_a_scramble_that_leaves_cross_and_three_pairs_but_for_a_turn_is_practice_of_the_last():
    solution = f"D2 y {PAIR} {SUNE}"
    row = Row(scramble=twin.inverse(outer(solution)), time_ms=9000, solution=solution)
    result = replayed(row)
    assert (result.reason, result.cross_turn, result.pair_turns[2]) == (None, 1, 1)


@pytest.mark.parametrize(
    ("last", "origin"),
    [
        (PAIR, SkipOrigin.CLEAN),
        ("R' F R F'", SkipOrigin.CLEAN),
        # A pair and a Sune from the back that share a turn: R' and R' are R2.
        ("R U R2 U2 R U R' U R", SkipOrigin.WITH_LAST_PAIR),
        (f"L' {PAIR} L", SkipOrigin.WITH_LAST_PAIR),
    ],
)
def test_a_skip_of_the_orientation_says_how_it_came(last, origin):
    row = timed_row(Stretch(500, f"{PAIR} y' {last}"), Stretch(900, T_PERM))._replace(turn_ms=None)
    result = replayed(row)
    assert result.oll is not None
    assert (result.oll.case, result.oll.skip) == ("skip", origin)
    assert result.pll is not None
    assert result.pll.skip is None


def test_a_last_pair_taken_out_and_put_in_anew_is_a_plain_insert():
    solution = f"R U2 R' U {PAIR} {T_PERM}"
    row = Row(scramble=twin.inverse(outer(solution)), time_ms=9000, solution=solution)
    result = replayed(row)
    assert result.oll is not None
    assert result.oll.skip is SkipOrigin.CLEAN


def test_a_drill_of_a_permutation_leaves_out_its_orientation_by_no_doing_of_the_solver():
    result = replayed(timed_row(Stretch(900, T_PERM)))
    assert result.oll is not None
    assert (result.f2l_turn, result.oll.case, result.oll.skip) == (0, "skip", SkipOrigin.CLEAN)


def test_all_corners_home_by_the_second_pair_are_corners_first():
    # Three edges round, a slot's among them, is all that is left after the first turn.
    solution = "D R' E R U R' E' R U'"
    row = Row(scramble=twin.inverse(outer(solution)), time_ms=9000, solution=solution)
    assert replayed(row).reason is Reason.NOT_LAYER_BY_LAYER


@pytest.mark.parametrize(
    ("looks_made", "origin"),
    [
        ((SUNE,), SkipOrigin.CLEAN),
        ((EDGES, SUNE), SkipOrigin.CLEAN),
        (("R U R' U R U' R' U R U2 R'",), SkipOrigin.CLEAN),  # in the book, for H
        (("L' U' L U L' U2 L U R U R' U R U2 R'",), SkipOrigin.CLEAN),  # a look of two
        (("R U2 R' U2 R' F R F'",), SkipOrigin.WITH_OLL),  # not in the book
    ],
)
def test_a_skip_of_the_permutation_says_how_it_came(looks_made, origin):
    result = replayed(timed_row(*(Stretch(900, text) for text in looks_made)))
    assert result.pll is not None
    assert result.pll.case == "skip" or result.oll is not None
    if result.pll.case == "skip":
        assert result.pll.skip is origin
