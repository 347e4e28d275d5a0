"""The cube and its holds, held against the slow twin and facts typed by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cubecore.cube import SOLVED, Cube, after_turns, walk
from cubecore.notation import parse_script
from cubecore.turns import (
    HOLDS,
    HOME_HOLD,
    N_TURNS,
    TURN_NAMES,
    Face,
    Turn,
    Turns,
    face_of,
    hold_with_up,
    inverse,
    joined,
    make_turn,
    mirror,
    quarter_turns_of,
)
from tests.cubecore import twin
from tests.cubecore.solves import HOLDS as ROTATIONS
from tests.cubecore.solves import TURNS, held_anew

turn_lists = st.lists(st.sampled_from(TURNS), max_size=25)


def runs(words: list[str]) -> Turns:
    return parse_script(" ".join(words)).turns


def seen_in_reading_order(cube: Cube, hold) -> str:
    seen = cube.seen_from(hold)
    return "".join(colour.name for face in Face for colour in seen[face])


@given(turn_lists, st.sampled_from(ROTATIONS))
def test_a_solver_sees_in_any_hold_what_the_slow_cube_shows(words, rotation):
    cube = Cube().after(runs(words))
    hold = parse_script(rotation).hold
    expected = twin.after(twin.after(twin.SOLVED, " ".join(words)), rotation)

    assert seen_in_reading_order(cube, hold) == expected


@given(turn_lists)
def test_turns_and_their_inverse_leave_the_cube_solved(words):
    turns = runs(words)

    assert Cube().after(joined(turns, inverse(turns))).is_solved()
    assert Cube().after(turns).is_solved() == twin.is_solved(
        twin.after(twin.SOLVED, " ".join(words))
    )


@given(turn_lists, turn_lists)
def test_a_walk_passes_every_position_the_start_included(before, words):
    start, turns = after_turns(SOLVED, runs(before)), runs(words)

    assert list(walk(start, turns)) == [
        after_turns(start, Turns(turns[:n])) for n in range(len(turns) + 1)
    ]


@given(turn_lists)
def test_colours_are_the_faces_shown_at_the_48_places(words):
    colours = Cube().after(runs(words)).colours()

    assert sorted(colours) == [face for face in range(6) for _ in range(8)]


@given(turn_lists)
def test_mirrored_turns_are_those_of_the_mirrored_text(words):
    assert mirror(runs(words)) == runs(twin.mirror(" ".join(words)).split())
    assert mirror(mirror(runs(words))) == runs(words)


def test_turns_have_names_faces_and_amounts():
    assert [TURN_NAMES[t] for t in range(N_TURNS)] == TURNS
    for turn in map(Turn, range(N_TURNS)):
        assert make_turn(face_of(turn), quarter_turns_of(turn)) == turn


@pytest.mark.parametrize(
    ("face", "colour", "opposite"),
    [
        # WCA Regulations, Article 4: white up, green front; the other colours common practice.
        ("U", "white", "D"),
        ("D", "yellow", "U"),
        ("F", "green", "B"),
        ("B", "blue", "F"),
        ("R", "red", "L"),
        ("L", "orange", "R"),
    ],
)
def test_faces_have_the_colours_of_a_scrambled_cube(face, colour, opposite):
    assert Face[face].colour == colour
    assert Face[face].opposite is Face[opposite]


def test_there_are_24_holds_and_each_is_named_once():
    assert len(set(HOLDS)) == len(HOLDS) == 24
    assert HOLDS[0] == HOME_HOLD == tuple(Face)


@pytest.mark.parametrize(
    ("up", "front"), [("U", "F"), ("D", "F"), ("F", "D"), ("B", "U"), ("R", "F"), ("L", "F")]
)
def test_the_reference_hold_of_each_face(up, front):
    hold = hold_with_up(Face[up])

    assert (hold[Face.U], hold[Face.F]) == (Face[up], Face[front])


@given(turn_lists, st.sampled_from(ROTATIONS))
def test_turns_named_in_a_hold_are_turned_back_to_the_fixed_frame(words, rotation):
    hold = parse_script(rotation).hold
    named = held_anew(" ".join(words), rotation).split()

    assert runs(named).translate(hold.turn_table) == runs(words)
