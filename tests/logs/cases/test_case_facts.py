"""What the order of lessons is told of the cases, checked by turning and by what coaches know."""

import pytest

from cubecore.cases import CASES, SKIP, CaseId, EdgeStep, PermutationStep, Stage, label
from cubecore.cube import SOLVED, after_turns
from cubecore.notation import parse_script
from cubecore.turns import inverse
from logs.cases.facts import (
    case_of,
    cases_by_code,
    chance_of,
    code_of,
    hours_to_learn,
    steps_by_code,
    traits,
    turns_by_code,
)

# First looks as the tables have them, written out: bar, angle, dot; adjacent and diagonal swap.
FIRST_LOOKS = {
    "bar": "F R U R' U' F'",
    "angle": "F U R U' R' F'",
    "dot": "F R U R' U' F' f R U R' U' f'",
    "adjacent": "R U R' U' R' F R2 U' R' U' R U R' F'",
    "diagonal": "F R U' R' U' R U R' F' R U R' U' R' F R F'",
}


def test_a_code_names_its_case_and_nothing_else_does():
    assert all(case_of(code_of(case.id)) is case for case in CASES.values())
    assert len(cases_by_code()) == 78
    for code in ("oll-58", "oll-", "pll-27", "f2l-1", "", "oll-skip", "oll27"):
        assert case_of(code) is None


def test_chances_leave_the_skip():
    for stage, skip in ((Stage.OLL, 1 / 216), (Stage.PLL, 1 / 72)):
        known = sum(chance_of(case) for case in CASES.values() if case.id.stage is stage)
        assert known == pytest.approx(1 - skip)


@pytest.mark.parametrize("code", list(cases_by_code()))
def test_two_looks_by_the_steps_really_solve_the_case(code: str):
    case, steps = cases_by_code()[code], steps_by_code()[code]
    is_oll = case.id.stage is Stage.OLL
    first = FIRST_LOOKS.get(steps.edge if is_oll else steps.corner, "")
    left = steps.corner if is_oll else steps.edge
    aufs = ["", "U", "U2", "U'"]
    finish = ""
    if left != "oriented":
        finish = CASES[CaseId(case.id.stage, _number(left))].algorithms[0]
    start = after_turns(SOLVED, inverse(parse_script(case.algorithms[0]).turns))
    ends = [
        label(after_turns(start, parse_script(f"{a} {first} {b} {finish}").turns))
        for a in aufs
        for b in aufs
    ]
    if is_oll:
        assert any(end.oll == SKIP for end in ends)
    else:
        assert any(end.oll == SKIP and end.pll == SKIP for end in ends)


def _number(text: str) -> int | str:
    return int(text) if text.isdecimal() else text


def test_what_the_first_look_is_comes_from_the_case():
    for code, case in cases_by_code().items():
        shown = label(after_turns(SOLVED, inverse(parse_script(case.algorithms[0]).turns)))
        if case.id.stage is Stage.OLL:
            assert steps_by_code()[code].edge == shown.edge_step
            assert shown.edge_step in set(EdgeStep)
        else:
            none = shown.permutation_step is PermutationStep.NONE
            expected = "oriented" if none else shown.permutation_step.value
            assert steps_by_code()[code].corner == expected


def test_look_alikes_are_so_both_ways():
    for code, one in traits().items():
        assert code not in one.look_alikes
        for other in one.look_alikes:
            assert code in traits()[other].look_alikes, (code, other)


# Mirror pairs: common practice, no source.
@pytest.mark.parametrize(
    ("one", "other"),
    [("oll-27", "oll-26"), ("oll-5", "oll-6"), ("pll-Ja", "pll-Jb"), ("pll-Aa", "pll-Ab")],
)
def test_mirrors_are_look_alikes(one: str, other: str):
    assert other in traits()[one].look_alikes


# Face turns counted by hand: Sune R U R' U R U2 R' has 7, the T 14 (common practice).
@pytest.mark.parametrize(("code", "turns"), [("oll-27", 7), ("oll-45", 6), ("pll-T", 14)])
def test_turns_are_those_of_the_book_s_first_algorithm(code: str, turns: int):
    assert turns_by_code()[code] == turns


def test_a_known_mirror_makes_a_case_quicker_to_learn():
    alone = hours_to_learn("oll-26", [])
    assert alone == pytest.approx(0.7)  # seven turns, ten an hour
    assert hours_to_learn("oll-26", ["oll-27"]) == pytest.approx(0.7 * 0.6)
    # Another case with a trigger of its own leaves a fifth less, with the mirror both hold.
    assert hours_to_learn("oll-33", ["oll-37"]) <= hours_to_learn("oll-33", [])
