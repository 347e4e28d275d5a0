"""Cases as they are held: every word held against the stickers of the tests' own slow cube."""

import re

import pytest

from cubecore.cases import CASES, CaseId, Stage
from logs.cases.report import angles_of, held_case, side_sights
from logs.cases.words import auf, side_words, wrong_hold
from tests.cubecore import twin
from tests.cubecore.met import VISIBLE, all_met, is_up_colour, met_at, relation, top

VIEWS = [(case, angle) for case in CASES.values() for angle in range(case.n_angles)]
FACES = {"front": "F", "right": "R", "back": "B", "left": "L"}
ROWS = {
    "nothing yellow": "---",
    "a lone yellow corner at its left end": "#--",
    "a lone yellow corner at its right end": "--#",
    "a lone yellow edge": "-#-",
    "yellow headlights, at both corners": "#-#",
    "a yellow bar of two at its left end": "##-",
    "a yellow bar of two at its right end": "-##",
    "a yellow bar of three": "###",
}
PARTS = {"the corners": (1, 3), "the left two": (1, 2), "the right two": (2, 3)}


def test_the_sides_of_an_orientation_are_said_as_they_are():
    for case, angle in VIEWS:
        if case.id.stage is Stage.OLL:
            colours = met_at(case, angle)
            for sight in side_sights(case, angle):
                names = [f"{FACES[sight.side]}{n}" for n in (1, 2, 3)]
                row = "".join("#" if is_up_colour(colours, name) else "-" for name in names)
                assert ROWS[side_words(sight, "yellow")] == row, (case, angle, sight)


def stands(colours: str, face: str, one: int, other: int) -> str:
    return relation(colours, f"{face}{one}", f"{face}{other}")


def holds(words: str, colours: str, face: str) -> bool:
    """Whether what is said of a PLL's side is so."""
    left, right, ends = (stands(colours, face, *pair) for pair in ((1, 2), (2, 3), (1, 3)))
    if words == "a bar of three":
        return left == right == "match"
    if words.startswith("a bar of two"):
        bar, third = (left, right) if "left end" in words else (right, left)
        is_opposite = words.endswith(", the third sticker opposite")
        is_bar = bar == "match" != third
        return is_bar and (third == "are opposite colours") == is_opposite
    if words.startswith("headlights"):
        return ends == "match" and (left == "are opposite colours") == ("the opposite" in words)
    part = re.fullmatch(r"no two alike, (.+) of opposite colours", words)
    assert part is not None, words
    is_apart = "match" not in (left, right, ends)
    return is_apart and stands(colours, face, *PARTS[part[1]]) == "are opposite colours"


def test_the_sides_of_a_permutation_are_said_as_they_are():
    for case, angle in VIEWS:
        if case.id.stage is Stage.PLL:
            for sight in side_sights(case, angle):
                words = side_words(sight, "yellow")
                assert holds(words, met_at(case, angle), FACES[sight.side]), (case, sight)


def test_front_and_right_are_in_sight():
    sights = side_sights(CASES[CaseId(Stage.OLL, 27)], 0)
    assert {sight.side for sight in sights if sight.is_in_sight} == {"front", "right"}


MARK = re.compile(r"In the right hold the (.+) is (not )?yellow\.$")
AUF = {"U": 1, "U2": 2, "U'": 3}


@pytest.mark.parametrize("hold", range(4))
def test_a_wrong_hold_is_noticed_by_what_is_said(hold):
    for case in CASES.values():
        if hold >= case.n_angles or case.n_angles == 1:
            continue
        words = wrong_hold(held_case(case, angle=hold, colour="yellow"))
        away = re.search(r"nearest is (U2?'?) away from it", words)
        assert away is not None
        right = met_at(case, hold)
        wrong = met_at(case, (hold + AUF[away[1]]) % case.n_angles)
        mark = MARK.search(words)
        if mark:
            assert top(right) == top(wrong)
            assert is_up_colour(right, VISIBLE[mark[1]]) == (mark[2] is None)
            assert is_up_colour(wrong, VISIBLE[mark[1]]) != is_up_colour(right, VISIBLE[mark[1]])
        elif case.id.stage is Stage.OLL:
            assert "The top tells" in words
            assert top(right) != top(wrong)


def test_where_every_hold_is_right_none_is_wrong():
    assert wrong_hold(held_case(CASES[CaseId(Stage.PLL, "H")], angle=0, colour="yellow")) == ""


def test_look_alikes_are_shown_in_the_angle_most_like_the_case():
    for case, angle in VIEWS:
        held = held_case(case, angle=angle, colour="yellow")
        for other in held.look_alikes:
            if case.id.stage is Stage.OLL:
                alike = [
                    colours
                    for (number, _), colours in all_met(Stage.OLL).items()
                    if number == other.number and top(colours) == top(met_at(case, angle))
                ]
                assert alike


def test_each_angle_leads_to_the_hold_by_the_turn_it_names():
    for case in CASES.values():
        for hold in range(case.n_angles):
            for one in angles_of(case, hold=hold):
                turned = twin.after(met_at(case, one.angle), auf(one))
                shown, right = met_at(case, hold), turned
                if case.id.stage is Stage.OLL:
                    names = [*VISIBLE.values(), *(f"U{n}" for n in range(1, 10))]
                    assert [is_up_colour(shown, n) for n in names] == [
                        is_up_colour(right, n) for n in names
                    ], (case, hold, one)
                assert (auf(one) == "") == (one.angle == hold)
