"""The tests' own slow cube, held against facts typed by hand before it judges the engine."""

import pytest

from tests.cubecore import twin


@pytest.mark.parametrize("base", [*twin.CYCLES, *twin.TOGETHER])
def test_four_quarter_turns_do_nothing(base):
    moved = twin.token_permutation(base)

    assert moved != twin.IDENTITY
    assert sorted(moved) == list(range(54))
    assert twin.run(f"{base} {base} {base} {base}") == twin.IDENTITY


@pytest.mark.parametrize(
    ("turns", "expected"),
    [
        # Read off a cube in the hand: each clockwise turn by what comes to the front or the top.
        ("R", "UUFUUFUUF RRRRRRRRR FFDFFDFFD DDBDDBDDB LLLLLLLLL UBBUBBUBB"),
        ("U", "UUUUUUUUU BBBRRRRRR RRRFFFFFF DDDDDDDDD FFFLLLLLL LLLBBBBBB"),
        ("F", "UUUUUULLL URRURRURR FFFFFFFFF RRRDDDDDD LLDLLDLLD BBBBBBBBB"),
        ("M", "UBUUBUUBU RRRRRRRRR FUFFUFFUF DFDDFDDFD LLLLLLLLL BDBBDBBDB"),
        ("E", "UUUUUUUUU RRRFFFRRR FFFLLLFFF DDDDDDDDD LLLBBBLLL BBBRRRBBB"),
        ("S", "UUULLLUUU RURRURRUR FFFFFFFFF DDDRRRDDD LDLLDLLDL BBBBBBBBB"),
        ("x", "FFFFFFFFF RRRRRRRRR DDDDDDDDD BBBBBBBBB LLLLLLLLL UUUUUUUUU"),
        ("y", "UUUUUUUUU BBBBBBBBB RRRRRRRRR DDDDDDDDD FFFFFFFFF LLLLLLLLL"),
        ("z", "LLLLLLLLL UUUUUUUUU FFFFFFFFF RRRRRRRRR DDDDDDDDD BBBBBBBBB"),
    ],
)
def test_a_quarter_turn_shows_what_a_cube_in_the_hand_shows(turns, expected):
    assert twin.after(twin.SOLVED, turns) == expected.replace(" ", "")


def test_a_mirrored_run_undone_by_its_mirrored_inverse_does_nothing():
    turns = "R u2 M' F x l D2 S' b"
    mirrored = twin.mirror(turns)

    assert mirrored == "L' u2 M' F' x r' D2 S b'"
    assert twin.after(twin.SOLVED, f"{mirrored} {twin.mirror(twin.inverse(turns))}") == twin.SOLVED


def test_a_position_is_known_in_any_hold():
    scrambled = twin.after(twin.SOLVED, "R U F' L2")

    assert twin.upright(twin.after(scrambled, "x y2 z'")) == scrambled
    assert not twin.is_solved(scrambled)
    assert twin.is_solved(twin.after(scrambled, "L2 F U' R' x z2"))
