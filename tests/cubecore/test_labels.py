"""Labels of the last layer, held against the slow twin over every position there is."""

import subprocess
import sys
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from cubecore.cases import CASES, LastLayer, label
from cubecore.cube import SOLVED, after_turns
from cubecore.notation import parse_script
from cubecore.turns import Face
from tests.cubecore import twin

ROOT = Path(__file__).parents[2]
# Rotations of the whole cube that bring each face up from the scrambling hold, as the engine's
# reference holds have it: green in front for white, yellow, red and orange up.
ROTATION = {"U": "", "D": "z2", "F": "x", "B": "x'", "R": "z'", "L": "z"}
# With these, in any order and number, every position of the last layer is reached (the
# order of their group is recomputed in tests/reference).
GENERATORS = {
    "line up": "U",
    "sune": "R U R' U R U2 R'",
    "edges": "F R U R' U' F'",
    "swap": "R U R' U' R' F R2 U' R' U' R U R' F'",
}
N_POSITIONS = 62_208  # 4! * 4! / 2 * 3**3 * 2**3, pieces and twists, by the parity rules
N_ORBITS = 3_916  # last layers up to AUF and hold: from memory, and by Burnside in tests/reference


@cache
def last_layers():
    return twin.all_last_layers(GENERATORS)


@cache
def recogniser():
    return twin.Recogniser(
        {(case.id.stage.value, str(case.id.number)): case.algorithms[0] for case in CASES.values()}
    )


@cache
def engine_labels(face: str) -> dict[str, LastLayer]:
    """For each position the engine's label when it lies on ``face``, reached by engine turns."""
    runs = {
        name: parse_script(f"{ROTATION[face]} {text}").turns for name, text in GENERATORS.items()
    }
    places = {twin.SOLVED: SOLVED}
    labels = {}
    for colours, (before, generator) in last_layers().items():
        if generator:
            places[colours] = after_turns(places[before], runs[generator])
        labels[colours] = label(places[colours], Face[face])
    return labels


def test_there_are_62208_last_layers():
    assert len(last_layers()) == N_POSITIONS


def test_every_case_and_angle_is_what_trying_the_algorithms_finds():
    wrong = []
    for colours, got in engine_labels("D").items():
        oll = recogniser().case("oll", colours)
        if (str(got.oll), got.oll_angle) != oll:
            wrong.append((colours, oll, got))
        pll = (None, None)
        if oll.number == "skip":
            pll = recogniser().case("pll", colours)
        if (got.pll, got.pll_angle) != pll:
            wrong.append((colours, pll, got))

    assert wrong[:3] == []


def test_every_step_is_what_the_stickers_show():
    wrong = []
    for colours, got in engine_labels("D").items():
        corners = recogniser().case("oll", twin.with_edges_up(colours)).number
        expected = (
            twin.edge_step(colours),
            0 if corners == "skip" else int(corners),
            twin.permutation_step(colours),
        )
        if (got.edge_step, got.corner_step, got.permutation_step) != expected:
            wrong.append((colours, expected, got))

    assert wrong[:3] == []


def test_position_numbers_are_equal_exactly_within_an_orbit_of_auf_and_hold():
    labels = engine_labels("D")
    numbers = []
    left = dict.fromkeys(labels)
    while left:
        colours = next(iter(left))
        orbit = set(twin.orbit(colours))
        shared = {labels[member].position for member in orbit}
        assert len(shared) == 1, (colours, shared)
        numbers.append(shared.pop())
        for member in orbit:
            del left[member]

    assert len(numbers) == N_ORBITS
    assert len(set(numbers)) == N_ORBITS
    assert labels[twin.SOLVED].position == 0


def test_each_case_comes_up_as_often_as_its_chance_says():
    # The chances of all cases and the skip add up to 216 and 72 (orbit sizes, counted here).
    labels = engine_labels("D").values()
    orientations = Counter(got.oll for got in labels)
    permutations = Counter(got.pll for got in labels if got.pll is not None)

    for case in CASES.values():
        if case.id.stage == "oll":
            assert orientations[case.id.number] * 216 == case.chance * N_POSITIONS, case
        else:
            assert permutations[str(case.id.number)] * 72 == case.chance * 288, case
    assert (len(orientations), orientations["skip"] * 216) == (58, N_POSITIONS)
    assert (len(permutations), permutations["skip"] * 72) == (22, 288)


def test_a_case_is_met_in_as_many_angles_as_it_says():
    angles: dict[tuple[str, object], set[int | None]] = {}
    for got in engine_labels("D").values():
        angles.setdefault(("oll", got.oll), set()).add(got.oll_angle)
        if got.pll is not None:
            angles.setdefault(("pll", got.pll), set()).add(got.pll_angle)

    for case in CASES.values():
        assert angles[case.id.stage.value, case.id.number] == set(range(case.n_angles)), case


@pytest.mark.parametrize("face", "URFLB")
def test_a_last_layer_of_another_colour_has_the_label_it_has_on_the_yellow_face(face):
    runs = {
        name: parse_script(f"{ROTATION[face]} {text}").turns for name, text in GENERATORS.items()
    }
    yellow = engine_labels("D")
    sampled = list(last_layers())["URFLB".index(face) :: 31]
    for colours in sampled:
        word = []
        before, generator = last_layers()[colours]
        while generator:
            word.append(generator)
            before, generator = last_layers()[before]
        places = SOLVED
        for name in reversed(word):
            places = after_turns(places, runs[name])
        assert label(places, Face[face]) == yellow[colours], colours


NUMBERS = """
import sys
from cubecore.cases import label
from cubecore.cube import SOLVED, after_turns
from cubecore.notation import parse_script
sune, t = "R U R' U R U2 R'", "R U R' U' R' F R2 U' R' U' R U R' F'"
texts = [f"{hold} {text} {auf}" for hold in ("", "y", "y2", "y'") for auf in ("", "U", "U2", "U'")
         for text in (sune, t, f"{sune} {t}", f"{t} U {sune}")]
order = texts if sys.argv[1] == "forward" else texts[::-1]
numbers = {text: label(after_turns(SOLVED, parse_script(text).turns)).position for text in order}
print([numbers[text] for text in texts])
"""


def test_position_numbers_do_not_hang_on_what_was_labelled_before():
    # They are kept with each sighting, so another run of the program must give the same.
    forward, backward = (
        subprocess.run(
            [sys.executable, "-c", NUMBERS, order],
            capture_output=True,
            text=True,
            check=True,
            cwd=ROOT,
            timeout=60,
        ).stdout
        for order in ("forward", "backward")
    )

    assert forward == backward
    assert len(set(forward.strip("[]\n").split(", "))) > 1
