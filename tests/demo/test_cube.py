"""The demo's own cube and eyes, against facts from outside the project."""

from collections import Counter

import pytest

from fixtures.demo.maker.algorithms import entries, undone
from fixtures.demo.maker.cross import distances
from fixtures.demo.maker.cube import SOLVED, apply
from fixtures.demo.maker.recognise import is_oriented, is_permuted, n_angles, right_auf, shown


# Orders of elements as GAP gives them (`tests/reference/test_gap.py`).
@pytest.mark.parametrize(
    ("text", "order"), [("R U", 105), ("R U'", 63), ("R U R' U'", 6), ("R U2 D' B D'", 1260)]
)
def test_orders_of_known_elements(text, order):
    state, count = apply(SOLVED, text.split()), 1
    while state != SOLVED:
        state, count = apply(state, text.split()), count + 1
    assert count == order


# WCA Regulations 12: a wide turn is an outer turn on the other side and a rotation. That a slice
# follows its neighbour (M as L, E as D, S as F) is common practice, no source.
@pytest.mark.parametrize(
    ("token", "same"),
    [("r", "L x"), ("u", "D y"), ("f", "B z"), ("M", "R L' x'"), ("E", "U D' y'"), ("S", "F' B z")],
)
def test_wide_turns_and_slices_are_outer_turns_and_a_rotation(token, same):
    assert apply(SOLVED, [token]) == apply(SOLVED, same.split())


# The number of crosses by fewest turns: well known in the trade, given here from memory; they add
# up to the 190,080 ways to place four edges (24 * 22 * 20 * 18).
def test_crosses_by_their_distance():
    found = Counter(distances())
    del found[255]
    assert [found[n] for n in range(9)] == [1, 15, 158, 1394, 9809, 46381, 97254, 34966, 102]
    assert sum(found.values()) == 24 * 22 * 20 * 18


def test_each_algorithm_solves_the_case_it_is_entered_for():
    for case, group in entries().items():
        for entry in group:
            state = apply(SOLVED, undone(entry.tokens))
            assert shown(case[0], state)[0] == case
            assert right_auf(entry, state) == 0
            after = entry.move(state)
            assert is_oriented(after) if case[0] == "oll" else is_permuted(after)


# Chances in 216: an orientation is met in as many of 216 ways as it has angles, which leaves one
# for the skip (counting argument: 27 corner twists times 8 edge flips).
def test_the_angles_of_all_orientations_add_up():
    assert sum(n_angles(case) for case in entries() if case[0] == "oll") + 1 == 27 * 8
