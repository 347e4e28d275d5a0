"""Questions of the practice page: what they show, and what may be answered."""

from collections import Counter
from random import Random

import pytest
from scipy.stats import chisquare

from cubecore.algorithms import prove_algorithm
from cubecore.cases import CASES, CaseId, Stage, case_at_angle, label
from cubecore.cube import SOLVED, after_turns
from cubecore.cues import look_alike_views
from cubecore.holds import Side, side_views
from cubecore.notation import parse_script
from cubecore.parting import parting
from cubecore.questions import (
    FEWEST_CHOICES,
    MOST_CHOICES,
    SIDE_BROUGHT,
    position_showing,
    question_about,
    shown_colours,
    turns_to_hold,
)
from cubecore.turns import Face, layer_turn

SEED = 20261125
SUNE, ANTISUNE = CaseId(Stage.OLL, 27), CaseId(Stage.OLL, 26)
CROSSES = [CaseId(Stage.OLL, number) for number in range(21, 28)]


@pytest.mark.parametrize("case", CASES.values(), ids=str)
def test_a_position_shows_the_case_at_the_angle(case):
    rng = Random(SEED)
    for angle in range(case.n_angles):
        for _ in range(5):
            shown = label(position_showing(case, angle, rng=rng))
            if case.id.stage is Stage.OLL:
                assert (shown.oll, shown.oll_angle) == (case.id.number, angle)
            else:
                assert (shown.oll, shown.pll, shown.pll_angle) == ("skip", case.id.number, angle)


def test_angles_come_up_equally_often():
    """Pearson's chi-square test by scipy, at 1 %, with a fixed seed."""
    rng = Random(SEED)
    angles = Counter(question_about(SUNE, CROSSES, rng=rng).angle for _ in range(1_000))
    assert chisquare([angles[angle] for angle in range(4)]).pvalue > 0.01


@pytest.mark.parametrize("case", CASES.values(), ids=str)
def test_the_choices_hold_the_case_and_what_can_be_held_most_like_it(case):
    rng = Random(SEED)
    for _ in range(4):
        question = question_about(case.id, [case.id], rng=rng)
        chosen = set(question.choices) - {case.id}
        apart = {
            other: parting(case.id, question.angle, other).n_differences
            for other in CASES
            if other.stage is case.id.stage and other != case.id
        }
        same_top = {other for other, _ in look_alike_views(case, question.angle)} - {case.id}
        assert case.id in question.choices
        assert len(question.choices) == len(set(question.choices))
        assert FEWEST_CHOICES <= len(question.choices) <= MOST_CHOICES
        assert {other.stage for other in question.choices} == {case.id.stage}
        if case.id.stage is Stage.PLL:
            nearest = sorted(apart.values())[: len(chosen)]
            assert sorted(apart[other] for other in chosen) == nearest
        else:
            assert len(chosen & same_top) == min(len(same_top), MOST_CHOICES - 1)


def test_a_case_is_offered_with_what_it_was_taken_for():
    """However little the two look alike."""
    rng = Random(SEED)
    taken = (CaseId(Stage.OLL, 1), CaseId(Stage.PLL, "T"))
    for _ in range(20):
        choices = question_about(SUNE, [SUNE], rng=rng, taken_for=taken).choices
        assert CaseId(Stage.OLL, 1) in choices
        assert CaseId(Stage.PLL, "T") not in choices


def test_choices_stand_in_the_order_of_the_tables():
    rng = Random(SEED)
    for _ in range(50):
        numbers = [case.number for case in question_about(SUNE, CROSSES, rng=rng).choices]
        assert numbers == sorted(numbers)


@pytest.mark.parametrize("case", CASES.values(), ids=str)
def test_turning_the_layer_as_told_leads_to_the_hold(case):
    """Checked on the cube: after so many turns U the algorithm solves the case."""
    rng = Random(SEED)
    algorithm = prove_algorithm(case.algorithms[0], case.id)
    script = parse_script(algorithm.text)
    for angle in range(case.n_angles):
        n_turns = turns_to_hold(case, angle, algorithm.angle)
        places = position_showing(case, angle, rng=rng)
        held = after_turns(places, layer_turn(Face.U, n_turns))
        after = label(after_turns(held, script.turns))
        assert (after.oll if case.id.stage is Stage.OLL else after.pll) == "skip"


def test_the_side_that_so_many_turns_bring_to_the_front():
    """WCA Regulations 12a: U is clockwise as one looks at the upper face, so right comes to front."""
    sune = CASES[SUNE]
    for n_turns, side in enumerate(SIDE_BROUGHT):
        before = side_views(case_at_angle(sune, n_turns % 4))
        assert before[side] == side_views(case_at_angle(sune, 0))[Side.FRONT]


@pytest.mark.parametrize("last", Face)
def test_a_solved_cube_is_shown_with_the_last_layer_s_colour_on_top(last):
    letters = shown_colours(SOLVED, last)
    faces = [letters[9 * face : 9 * face + 9] for face in Face]
    assert all(len(set(face)) == 1 for face in faces)
    assert faces[0][0] == last.colour[0].upper()
    # Common practice, no source: white opposite yellow, green blue, red orange.
    opposite = {"W": "Y", "G": "B", "R": "O"}
    for one, other in ((0, 3), (1, 4), (2, 5)):
        pair = {faces[one][0], faces[other][0]}
        assert pair in [{a, b} for a, b in opposite.items()]
