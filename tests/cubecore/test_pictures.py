"""Pictures as SVG: what they show is what the stickers show."""

import xml.etree.ElementTree as ET

import pytest

from cubecore.cases import CASES, CaseId, Stage, find_case
from cubecore.cube import Cube
from cubecore.notation import parse_script
from cubecore.pictures import case_picture, colour_letters, cube_picture
from cubecore.turns import HOME_HOLD
from tests.cubecore import twin
from tests.cubecore.solves import HOLDS as ROTATIONS

SVG = "{http://www.w3.org/2000/svg}"
LETTERS = dict(zip("URFDLB", "WRGYOB", strict=True))


def read(picture: str) -> ET.Element:
    root = ET.fromstring(picture)
    assert root.tag == f"{SVG}svg"
    return root


@pytest.mark.parametrize("case", CASES.values(), ids=str)
def test_a_case_picture_has_a_solid_tile_for_each_sticker_that_faces_up(case):
    root = read(case_picture(case, size=64))
    tiles = root.findall(f"{SVG}rect")
    solid = [tile for tile in tiles if tile.get("fill") == "currentColor"]
    met = twin.renamed(twin.after(twin.SOLVED, twin.inverse(case.algorithms[0])))

    assert root.get("aria-label") == str(case)
    assert (root.get("width"), root.get("height"), root.get("role")) == ("64", "64", "img")
    assert len(tiles) == 9
    assert len(solid) == sum(met[place] == "U" for place in twin.TOP)


def test_a_case_picture_turns_with_the_angle():
    case = CASES[CaseId(Stage.OLL, 27)]
    pictures = {case_picture(case, angle=angle) for angle in range(4)}

    assert len(pictures) == 4
    assert case_picture(case, angle=4) == case_picture(case)


def test_a_case_picture_says_the_text_it_is_given_with_its_signs_escaped():
    case = CASES[CaseId(Stage.OLL, 27)]
    root = read(case_picture(case, text='Sune & "friends" <3'))

    assert root.get("aria-label") == 'Sune & "friends" <3'


@pytest.mark.parametrize(
    ("case", "n_swaps", "n_single"),
    [("T", 2, 0), ("Ua", 0, 3), ("Aa", 0, 3), ("H", 2, 0), ("E", 2, 0), ("Ga", 0, 6), ("Y", 2, 0)],
)
def test_a_permutation_has_an_arrow_for_each_swap_and_each_step_of_a_cycle(case, n_swaps, n_single):
    root = read(case_picture(find_case(f"PLL {case}")))
    heads = [
        path.get("d", "") for path in root.findall(f"{SVG}path") if path.get("class") == "paper"
    ]

    assert sorted(d.count("M") for d in heads) == [1] * n_single + [2] * n_swaps


def test_an_orientation_has_no_arrows():
    root = read(case_picture(CASES[CaseId(Stage.OLL, 27)]))

    assert not [path for path in root.findall(f"{SVG}path") if path.get("class") == "paper"]


@pytest.mark.parametrize("rotation", ROTATIONS)
def test_letters_are_the_colours_a_solver_has_around_them(rotation):
    turns = "R U F' L2 D B'"
    shown = twin.after(twin.after(twin.SOLVED, turns), rotation)
    cube = Cube().after(parse_script(turns).turns)

    letters = colour_letters(cube.places, parse_script(rotation).hold)

    assert letters == "".join(LETTERS[colour] for colour in shown)


def test_a_cube_picture_has_the_27_stickers_in_sight_each_with_its_letter():
    cube = Cube().after(parse_script("R U F'").turns)
    letters = colour_letters(cube.places, HOME_HOLD)
    root = read(cube_picture(letters, size=120, text="after R U F'"))
    stickers = root.findall(f"{SVG}g")

    assert root.get("aria-label") == "after R U F'"
    assert root.get("width") == "120"
    assert [int(sticker.get("data-cell", "")) for sticker in stickers] == list(range(27))
    for cell, sticker in enumerate(stickers):
        (text,) = sticker.findall(f"{SVG}text")
        assert text.text == letters[cell]
        assert sticker.get("class") == f"sticker sticker-{letters[cell].lower()}"
        assert len(sticker.findall(f"{SVG}polygon")) == 1


def test_a_cube_picture_without_a_text_says_what_it_is():
    assert read(cube_picture("W" * 54)).get("aria-label") == "cube"


def test_no_two_stickers_of_a_cube_picture_lie_on_one_another():
    stickers = read(cube_picture("W" * 54)).findall(f"{SVG}g")
    points = [sticker.findall(f"{SVG}polygon")[0].get("points") for sticker in stickers]

    assert len(set(points)) == 27
