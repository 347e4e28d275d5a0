"""What the sides show, held against the colours on the slow cube."""

import pytest

from cubecore.cases import CASES, Stage, case_at_angle
from cubecore.holds import Side
from cubecore.side_words import side_words
from tests.cubecore import twin
from tests.cubecore.met import OPPOSITE, met_at

VIEWS = [(case, angle) for case in CASES.values() for angle in range(case.n_angles)]
# Common practice, no source: what a row of the last layer's colour is called.
OLL_WORDS = {
    (1, 1, 1): "a blue bar of three",
    (1, 1, 0): "a blue bar of two at its left end",
    (0, 1, 1): "a blue bar of two at its right end",
    (1, 0, 1): "blue headlights, at both corners",
    (1, 0, 0): "a lone blue corner at its left end",
    (0, 0, 1): "a lone blue corner at its right end",
    (0, 1, 0): "a lone blue edge",
    (0, 0, 0): "nothing blue",
}


def row(colours: str, side: Side) -> list[str]:
    return [colours[twin.NUMBER[f"{side.value[0].upper()}{n}"]] for n in (1, 2, 3)]


@pytest.mark.parametrize("side", Side)
def test_an_orientation_says_where_the_last_colour_shows(side):
    for case, angle in VIEWS:
        if case.id.stage is Stage.OLL:
            words = side_words(case_at_angle(case, angle), Stage.OLL, "blue")
            left, middle, right = (int(colour == "U") for colour in row(met_at(case, angle), side))
            assert words[side] == OLL_WORDS[left, middle, right], (case, angle)


@pytest.mark.parametrize("side", Side)
def test_a_permutation_says_which_stickers_match_and_which_are_opposite(side):
    for case, angle in VIEWS:
        if case.id.stage is Stage.PLL:
            words = side_words(case_at_angle(case, angle), Stage.PLL)[side]
            left, middle, right = row(met_at(case, angle), side)
            opposites = {
                "the corners": OPPOSITE[left] == right,
                "the left two": OPPOSITE[left] == middle,
                "the right two": OPPOSITE[middle] == right,
            }
            assert (words == "a bar of three") == (left == middle == right)
            assert ("two at its left" in words) == (left == middle != right)
            assert ("two at its right" in words) == (left != middle == right)
            assert ("headlights" in words) == (left == right != middle)
            if "third" in words or ("bar of two" in words and "third" not in words):
                assert ("third sticker opposite" in words) == opposites["the corners"]
            if "headlights" in words:
                assert ("the opposite colour" in words) == opposites["the left two"]
            if "no two alike" in words:
                named = [name for name in opposites if name in words]
                assert named == [name for name, is_so in opposites.items() if is_so]
