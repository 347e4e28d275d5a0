import pytest

from cubecore.book import default_book
from cubecore.replay import replay_row
from cubecore.results import Replay
from cubecore.rows import Penalty, Row
from logs.solves.report.steps import (
    Part,
    PartKind,
    Step,
    is_written_with_holds,
    milestones,
    part_after,
    solve_steps,
)
from logs.solves.words import letters, part_name
from tests.factories import LAST_PAIR, SUNE, T_PERM, make_row


def steps_of(row: Row) -> tuple[tuple[Step, ...], Replay]:
    result = replay_row(row, default_book())
    return solve_steps(row.scramble, row.solution or "", result), result


def test_the_first_step_is_the_scramble_and_the_last_the_solved_cube():
    row = make_row("x2", LAST_PAIR, SUNE, T_PERM)
    steps, _ = steps_of(row)
    assert (steps[0].token, steps[0].n_turns, steps[0].part) == ("", 0, None)
    # Held yellow up after x2, blue in front.
    assert letters(steps[-1].cube) == "Y" * 9 + "R" * 9 + "B" * 9 + "W" * 9 + "O" * 9 + "G" * 9
    assert " ".join(step.token for step in steps[1:]) == row.solution


def test_a_rotation_changes_what_is_seen_and_not_the_cube():
    # R U, undone with a y between: what was R is then F.
    steps, _ = steps_of(Row(scramble="R U", time_ms=900, solution="U' y F'"))
    _, after_turn, after_rotation, done = steps
    assert after_turn.n_turns == after_rotation.n_turns == 1
    before, after = after_turn.cube, after_rotation.cube
    # y brings R to the front, F to the left, L to the back, B to the right (WCA Article 12).
    assert (after.front, after.left, after.back) == (before.right, before.front, before.left)
    assert after.right == before.back
    assert letters(done.cube) == "W" * 9 + "B" * 9 + "R" * 9 + "Y" * 9 + "G" * 9 + "O" * 9


def test_a_log_without_rotations_is_drawn_with_the_last_layer_up():
    row = make_row(LAST_PAIR, SUNE, T_PERM)
    steps, result = steps_of(row)
    assert not is_written_with_holds(row.solution or "")
    assert result.cross is not None
    top = result.cross.opposite.colour
    assert {step.cube.up[4] for step in steps} == {top}


@pytest.mark.parametrize(
    ("solution", "is_written"),
    [("R U R'", False), ("R y U", True), ("Rw U", True), ("M U", True), ("", False)],
)
def test_rotations_wide_turns_and_slices_turn_the_cube_in_the_hand(solution: str, is_written: bool):
    assert is_written_with_holds(solution) is is_written


def test_steps_carry_the_time_and_the_part_of_their_turn():
    row = make_row(LAST_PAIR, SUNE, T_PERM)
    steps, result = steps_of(row)
    assert [step.at_ms for step in steps[1:]] == list(row.turn_ms or ())
    assert [step.part for step in steps[1:4]] == [Part(PartKind.PAIR, 4)] * 3
    assert [step.part for step in steps[4:11]] == [Part(PartKind.OLL)] * 7
    assert {step.part for step in steps[11:]} == {Part(PartKind.PLL)}
    assert steps[4].pause_ms == 1500  # ten gaps of 150 ms before each part
    assert [step.pause_ms is not None for step in steps].count(True) == len(result.hesitations)


def test_a_rotation_belongs_to_what_it_leads_up_to():
    row = make_row(LAST_PAIR, "y", "y'", SUNE, T_PERM, is_timed=False)
    steps, _ = steps_of(row)
    assert [step.part for step in steps[4:6]] == [Part(PartKind.OLL)] * 2
    assert {step.at_ms for step in steps} == {None}


def test_milestones_end_with_the_solution():
    _, result = steps_of(make_row(LAST_PAIR, SUNE, T_PERM, "U"))
    marks = milestones(result)
    kinds = [mark.part.kind for mark in marks]
    assert kinds[-3:] == [PartKind.OLL, PartKind.PLL, PartKind.FINAL_AUF]
    assert marks[-1].n_turns == len(result.turns)
    assert part_after(marks, 1) == Part(PartKind.PAIR, 4)
    assert part_after(marks, 999) == Part(PartKind.FINAL_AUF)


def test_a_dnf_that_ended_early_has_a_rest():
    row = Row(scramble="R U F L", time_ms=900, solution="D", penalty=Penalty.DNF)
    _, result = steps_of(row)
    assert [mark.part for mark in milestones(result)] == [Part(PartKind.REST)]


@pytest.mark.parametrize(
    ("solution", "last", "case"),
    [
        (f"{LAST_PAIR} {SUNE} R", "PLL, not finished", "PLL T"),
        (f"{LAST_PAIR} R U", "OLL, not finished", "OLL 27 Sune"),
    ],
)
def test_a_dnf_in_the_last_layer_names_the_case_it_ended_in(solution: str, last: str, case: str):
    scramble = make_row(LAST_PAIR, SUNE, T_PERM).scramble
    row = Row(scramble=scramble, time_ms=9000, solution=solution, penalty=Penalty.DNF)
    _, result = steps_of(row)
    mark = milestones(result)[-1]
    assert mark.case is not None
    assert (part_name(mark.part), mark.case.title, mark.part.is_reached) == (last, case, False)
