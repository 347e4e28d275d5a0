"""An algorithm step by step, beside the tests' own cube."""

from itertools import accumulate, product

import pytest

from cubecore.cases import CASES
from cubecore.cube import cell_sources
from cubecore.descriptions import describe
from cubecore.notation import parse_script
from cubecore.stepping import steps_of, token_cells
from cubecore.turns import Face
from tests.cubecore import twin

LETTERS = str.maketrans("URFDLB", "WRGYOB")
TOKENS = ["".join(token) for token in product("URFDLBurfdlbMESxyz", ("", "2", "'"))]
BOOK = [text for case in CASES.values() for text in case.algorithms]


@pytest.mark.parametrize("token", TOKENS)
def test_a_turn_moves_the_cells_as_the_twin_does(token):
    goes_to = twin.token_permutation(token)

    assert [goes_to[source] for source in token_cells(token)] == list(range(54))


@pytest.mark.parametrize("text", BOOK)
def test_each_step_shows_what_the_twin_shows_in_both_hands(text):
    for way in (text, describe(text).mirror, describe(text).other_hand):
        before = twin.renamed(twin.after(twin.SOLVED, twin.inverse(way)))
        expected = [
            state.translate(LETTERS)
            for state in accumulate(way.split(), twin.after, initial=before)
        ]

        assert list(steps_of(way, last=Face.U).states()) == expected


@pytest.mark.parametrize("last", Face)
def test_the_layer_of_the_colour_asked_for_is_up_at_the_end(last):
    end = steps_of("R U R' U R U2 R'", last=last).states()[-1]

    assert end[:9] == "WRGYOB"[last] * 9
    assert [len(set(end[n : n + 9])) for n in range(0, 54, 9)] == [1] * 6


def test_the_pair_that_a_sune_takes_out_is_followed_and_comes_home():
    steps = steps_of("R U R' U R U2 R'", last=Face.U)
    names = {twin.NAMES[cell] for cell in steps.pair}
    # The pair between front and right: edge F6 R4, corner F9 R7 D3.
    assert names == {"F6", "R4", "F9", "R7", "D3"}

    cells = set(steps.pair)
    for token in steps.tokens:
        goes_to = twin.token_permutation(token)
        cells = {goes_to[cell] for cell in cells}
    assert cells == set(steps.pair)


def test_no_pair_is_followed_where_none_leaves():
    assert steps_of("M2 U M2 U2 M2 U M2", last=Face.D).pair == ()


def test_sources_of_a_run_are_those_of_its_tokens_one_after_the_other():
    script = parse_script("R y U' x2 M")
    composed = tuple(range(54))
    for token in ["R", "y", "U'", "x2", "M"]:
        composed = tuple(composed[source] for source in token_cells(token))

    assert cell_sources(script.turns, script.hold) == composed
