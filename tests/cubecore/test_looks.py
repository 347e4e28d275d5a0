"""Looks by hand: what each did, how excursions are joined, and how their times are split."""

import pytest

from cubecore.algorithms import prove_algorithm
from cubecore.book import Book, default_book
from cubecore.cases import CaseId, Stage
from cubecore.looks import Look
from cubecore.outcomes import Done, Outcome
from cubecore.replay import replay_row
from cubecore.results import LastLayerStage
from tests.cubecore.handmade import (
    AA_PERM,
    ANTISUNE,
    EDGES,
    JB_PERM,
    STEP_MS,
    SUNE,
    T_PERM,
    UA_PERM,
    Stretch,
    dnf,
    timed_row,
)
from tests.cubecore.twin import inverse


def stages(row, book=None) -> tuple[LastLayerStage, LastLayerStage]:
    result = replay_row(row, default_book() if book is None else book)
    assert result.oll is not None
    assert result.pll is not None
    return result.oll, result.pll


def times(look: Look) -> tuple[int | None, int | None, int | None]:
    return look.recognition_ms, look.execution_ms, look.lining_up_ms


def test_one_look_a_stage_with_its_times():
    oll, pll = stages(timed_row(Stretch(500, SUNE), Stretch(800, T_PERM), Stretch(200, "U")))

    assert (oll.case, pll.case) == (27, "T")
    (look,) = oll.looks
    assert (look.outcome, look.algorithm, look.known) == (Outcome.FINISHED, SUNE, True)
    assert (look.start, look.end, look.turns, look.lining_up_turns) == (0, 7, 7, 0)
    # 500 ms to the end of the first turn, then six more turns.
    assert times(look) == (500, 6 * STEP_MS, 0)
    (look,) = pll.looks
    assert (look.outcome, look.algorithm, look.turns) == (Outcome.FINISHED, T_PERM, 14)
    assert times(look) == (800, 13 * STEP_MS, 0)
    assert (pll.recognition_ms, pll.execution_ms) == (800, 13 * STEP_MS)
    assert pll.stage_ms == 800 + 13 * STEP_MS


def test_lining_up_is_counted_and_timed_as_part_of_execution():
    oll, _ = stages(timed_row(Stretch(500, "U"), Stretch(300, "U"), Stretch(400, SUNE)))

    (look,) = oll.looks
    # Recognition ends with the first turn; the second AUF takes 300 ms, then come 400 and six.
    assert times(look) == (500, 700 + 6 * STEP_MS, 300)
    assert (look.lining_up_turns, look.turns, look.start, look.end) == (2, 7, 2, 9)


def test_a_rotation_does_not_end_recognition():
    solution = f"y {SUNE}"
    row = timed_row(Stretch(500, solution))
    assert row.turn_ms is not None
    per_token = (200, *row.turn_ms)
    oll, _ = stages(row._replace(turn_ms=per_token))

    assert times(oll.looks[0]) == (500, 6 * STEP_MS, 0)


def test_edges_and_then_corners_are_two_looks():
    oll, _ = stages(timed_row(Stretch(500, EDGES), Stretch(400, SUNE)))

    first, second = oll.looks
    assert (first.outcome, first.algorithm) == (Outcome.EDGES, EDGES)
    assert (second.outcome, second.algorithm) == (Outcome.FINISHED, SUNE)
    assert (times(first), times(second)) == ((500, 5 * STEP_MS, 0), (400, 6 * STEP_MS, 0))
    assert (oll.recognition_ms, oll.execution_ms) == (900, 11 * STEP_MS)


@pytest.mark.parametrize(
    ("first", "second", "outcome"),
    [(AA_PERM, UA_PERM, Outcome.CORNERS), (UA_PERM, AA_PERM, Outcome.EDGES)],
)
def test_corners_and_edges_of_the_permutation_are_two_looks(first, second, outcome):
    oll, pll = stages(timed_row(Stretch(500, first), Stretch(700, second)))

    assert oll.case == "skip"
    assert [look.outcome for look in pll.looks] == [outcome, Outcome.FINISHED]
    assert [look.known for look in pll.looks] == [True, True]


def test_a_sune_and_the_edges_are_one_algorithm_however_long_the_pause():
    # Common practice: the awkward case with headlights is a Sune and then the edges.
    oll, _ = stages(timed_row(Stretch(500, SUNE), Stretch(5000, EDGES)))

    (look,) = oll.looks
    assert oll.case == 41
    assert (look.algorithm, look.known) == (f"{SUNE} {EDGES}", True)
    assert (look.outcome, look.turns) == (Outcome.FINISHED, 13)
    assert times(look) == (500, 11 * STEP_MS + 5000, 0)


def test_the_books_tail_is_found_after_another_look():
    before = "F U R U' R' F'"
    oll, _ = stages(timed_row(Stretch(500, before), Stretch(900, SUNE), Stretch(900, EDGES)))

    assert [look.algorithm for look in oll.looks] == [before, f"{SUNE} {EDGES}"]
    assert oll.looks[0].outcome is Outcome.STEP
    assert oll.looks[1].outcome is Outcome.FINISHED


def test_without_that_entry_in_the_book_the_pause_parts_them():
    book = Book([prove_algorithm(SUNE), prove_algorithm(EDGES)])
    oll, _ = stages(timed_row(Stretch(500, SUNE), Stretch(5000, EDGES)), book)

    assert [look.algorithm for look in oll.looks] == [SUNE, EDGES]


@pytest.mark.parametrize(("pause", "n_looks"), [(259, 1), (260, 2)])
def test_a_rest_shorter_than_a_hesitation_joins_two_excursions(pause, n_looks):
    # The median gap is 104 ms, so a hesitation starts at 260 ms.
    oll, _ = stages(timed_row(Stretch(500, EDGES), Stretch(pause, SUNE)))

    assert len(oll.looks) == n_looks
    assert sum(look.execution_ms or 0 for look in oll.looks) == (
        11 * STEP_MS + pause if n_looks == 1 else 11 * STEP_MS
    )
    if n_looks == 1:
        assert oll.looks[0].outcome is Outcome.FINISHED
        assert not oll.looks[0].known
        assert oll.looks[0].algorithm == f"{EDGES} {SUNE}"


@pytest.mark.parametrize(("auf", "n_looks"), [("U U2", 1), ("U", 1)])
def test_auf_turns_between_two_excursions_are_lining_up_and_no_pause(auf, n_looks):
    # As domain rules have it: the rest is a hesitation only if one pause in it is.
    oll, _ = stages(timed_row(Stretch(500, EDGES), Stretch(STEP_MS, f"{auf} {SUNE}")))
    assert len(oll.looks) == n_looks


def test_a_pause_between_auf_turns_is_a_pause():
    oll, _ = stages(timed_row(Stretch(500, EDGES), Stretch(STEP_MS, "U"), Stretch(300, SUNE)))

    assert [look.lining_up_turns for look in oll.looks] == [0, 1]
    assert times(oll.looks[1]) == (STEP_MS, 300 + 6 * STEP_MS, 0)


def test_an_untimed_solve_is_parted_by_the_book_alone():
    row = timed_row(Stretch(500, EDGES), Stretch(100, SUNE))._replace(turn_ms=None)
    oll, _ = stages(row)

    assert [look.algorithm for look in oll.looks] == [EDGES, SUNE]
    assert [times(look) for look in oll.looks] == [(None, None, None)] * 2
    assert (oll.recognition_ms, oll.execution_ms) == (None, None)


def first_look(row) -> Look:
    """The first look of the first stage that has one."""
    result = replay_row(row, default_book())
    return next(look for stage in (result.oll, result.pll) if stage for look in stage.looks)


def test_the_algorithm_of_another_case_is_named():
    look = first_look(dnf(timed_row(Stretch(500, SUNE), solves=ANTISUNE)))

    assert (look.outcome, look.algorithm) == (Outcome.STEP, SUNE)
    assert look.done == Done(CaseId(Stage.OLL, 27), None)


WRONG_HOLDS = [("U", 1), ("U2", 2), ("U'", 3)]


@pytest.mark.parametrize(("auf", "quarter_turns"), WRONG_HOLDS)
def test_the_right_algorithm_from_a_wrong_hold_is_named_with_the_auf_that_was_missing(
    auf, quarter_turns
):
    look = first_look(dnf(timed_row(Stretch(500, SUNE), solves=f"{auf} {SUNE}")))

    assert (look.outcome, look.algorithm) == (Outcome.STEP, SUNE)
    assert look.done == Done(CaseId(Stage.OLL, 27), quarter_turns)


def test_a_wrong_hold_counts_from_the_hold_of_the_algorithm_that_was_used():
    back = "R' U2 R U R' U R"  # the same case, from another hold
    angle = prove_algorithm(back).angle
    look = first_look(dnf(timed_row(Stretch(500, back), solves=SUNE)))

    assert prove_algorithm(back).case == CaseId(Stage.OLL, 27)
    assert angle != 0
    assert look.done == Done(CaseId(Stage.OLL, 27), -angle % 4)


@pytest.mark.parametrize(("auf", "quarter_turns"), WRONG_HOLDS)
def test_a_permutation_from_a_wrong_hold_is_named(auf, quarter_turns):
    look = first_look(dnf(timed_row(Stretch(500, JB_PERM), solves=f"{auf} {JB_PERM}")))

    assert look.done == Done(CaseId(Stage.PLL, "Jb"), quarter_turns)


def test_a_step_that_is_undone_stays_a_step():
    # The three together turn what the last one turns, but that is not what was done.
    right = f"U {SUNE}"
    row = timed_row(
        Stretch(500, SUNE), Stretch(900, inverse(SUNE)), Stretch(900, right), solves=right
    )
    oll, _ = stages(row)

    assert len(oll.looks) == 3
    assert oll.looks[0].done == Done(CaseId(Stage.OLL, 27), 1)
    assert [look.outcome for look in oll.looks[:2]] == [Outcome.STEP, Outcome.STEP]
    assert (oll.looks[2].outcome, oll.looks[2].algorithm) == (Outcome.FINISHED, SUNE)


def test_an_orientation_made_in_the_permute_stage_is_a_misfire():
    look = first_look(dnf(timed_row(Stretch(500, SUNE), solves=T_PERM)))

    assert look.outcome is Outcome.MISFIRE
    assert look.done == Done(CaseId(Stage.OLL, 27), None)


def test_what_the_book_does_not_know_has_no_name():
    unknown = "R U' L' U R' U' L"  # turns three corners round; common practice, no source
    look = first_look(dnf(timed_row(Stretch(500, unknown), solves=T_PERM)))

    assert (look.outcome, look.known, look.done) == (Outcome.MISFIRE, False, None)
    assert look.algorithm == unknown


def test_corners_that_were_home_before_and_still_are_make_a_step():
    # Ua shows; Ua again leaves Ub: the corners stayed home, nothing was gained.
    row = timed_row(Stretch(500, UA_PERM), Stretch(900, UA_PERM), solves=inverse(UA_PERM))
    _, pll = stages(row)

    assert pll.case == "Ub"
    assert [look.outcome for look in pll.looks] == [Outcome.STEP, Outcome.FINISHED]
    assert pll.looks[0].done == Done(CaseId(Stage.PLL, "Ua"), None)


def test_edges_that_were_home_before_and_still_are_make_a_step():
    row = timed_row(Stretch(500, AA_PERM), Stretch(900, AA_PERM), solves=inverse(AA_PERM))
    _, pll = stages(row)

    assert pll.case == "Ab"
    assert pll.looks[0].outcome is Outcome.STEP


def test_edges_are_oriented_from_a_dot_in_one_look():
    row = timed_row(Stretch(500, "f R U R' U' f'"), Stretch(900, f"U2 {EDGES}"), Stretch(900, SUNE))
    oll, _ = stages(row)

    assert oll.looks[-1].outcome is Outcome.FINISHED
    assert [look.outcome for look in oll.looks][-2] is Outcome.EDGES


def test_a_look_that_never_came_back_is_no_look():
    row = dnf(timed_row(Stretch(500, EDGES), Stretch(900, "R U R'"), solves=f"{EDGES} {SUNE}"))
    result = replay_row(row, default_book())

    assert result.oll is not None
    assert [look.outcome for look in result.oll.looks] == [Outcome.EDGES]
    assert not result.oll.is_reached
    assert (result.oll.recognition_ms, result.oll.execution_ms) == (None, None)
    assert result.pll is None
    assert result.final_auf_ms is None


def test_looks_of_a_stage_that_was_never_finished_are_parted_by_pauses_alone():
    whole = f"{EDGES} {ANTISUNE} U {SUNE}"
    row = dnf(timed_row(Stretch(500, EDGES), Stretch(900, ANTISUNE), solves=whole))
    result = replay_row(row, default_book())

    assert result.oll is not None
    assert [look.algorithm for look in result.oll.looks] == [EDGES, ANTISUNE]
    assert [look.outcome for look in result.oll.looks] == [Outcome.EDGES, Outcome.STEP]
