"""Pictures as SVG: what they show is what the stickers show."""

import re
import xml.etree.ElementTree as ET
from itertools import combinations

import pytest

from cubecore.cases import CASES, CaseId, Stage, find_case
from cubecore.cube import Cube
from cubecore.cues import cue_of, cue_stickers, two_sided_cue
from cubecore.notation import parse_script
from cubecore.pictures import (
    case_drawing,
    case_picture,
    colour_letters,
    cube_picture,
    track_drawing,
)
from cubecore.stickers import TINTS
from cubecore.turns import HOME_HOLD, Face
from tests.cubecore import twin
from tests.cubecore.solves import HOLDS as ROTATIONS

SVG = "{http://www.w3.org/2000/svg}"
LETTERS = dict(zip("URFDLB", "WRGYOB", strict=True))
OLLS = [case for case in CASES.values() if case.id.stage is Stage.OLL]
PLLS = [case for case in CASES.values() if case.id.stage is Stage.PLL]
NUMBERS = re.compile(r"-?[0-9.]+")


def read(picture: str) -> ET.Element:
    root = ET.fromstring(picture)
    assert root.tag == f"{SVG}svg"
    return root


@pytest.mark.parametrize("case", OLLS, ids=str)
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
    root = read(track_drawing(find_case(f"PLL {case}")).svg(size=96))
    heads = [
        path.get("d", "")
        for path in root.findall(f"{SVG}path")
        if path.get("class") == "track-head"
    ]

    assert sorted(d.count("M") for d in heads) == [1] * n_single + [2] * n_swaps


def test_an_orientation_has_no_arrows():
    root = read(case_picture(CASES[CaseId(Stage.OLL, 27)]))

    tracks = [path for path in root.iter(f"{SVG}path") if "track" in path.get("class", "")]
    assert not tracks


def side_rows(case, angle: int) -> str:
    """The rows F and R of the upper layer, white up, green in front, read by the twin."""
    undone = twin.renamed(twin.after(twin.SOLVED, twin.inverse(case.algorithms[0])))
    met = dict(zip(twin.NAMES, twin.after(undone, "U' " * angle), strict=True))
    return "".join(LETTERS[met[place]] for place in ("F1", "F2", "F3", "R1", "R2", "R3"))


@pytest.mark.parametrize("case", PLLS, ids=str)
def test_a_permutation_is_drawn_as_it_is_held_with_the_colours_of_its_sides(case):
    for angle in range(4):
        drawing = case_drawing(case, angle=angle, last=Face.U)
        said = [ET.fromstring(letter) for letter in drawing.letters]
        sides = sorted(said[1:], key=lambda letter: float(letter.get("x", "")))

        assert said[0].text == "W"
        assert "".join(letter.text or "" for letter in sides) == side_rows(case, angle)


def test_letters_stand_where_they_can_be_read_and_paint_is_never_black():
    case = find_case("PLL Ga")
    large, small = read(case_picture(case, size=48)), read(case_picture(case, size=36))

    assert len(large.findall(f"{SVG}text")) == 7
    assert not small.findall(f"{SVG}text")
    greys = {letter: int((tint[1:] * 2)[:2], 16) for letter, tint in TINTS.items()}
    assert set(greys) == set("WRGYOB")
    # Black on grey 0x76 has 4.5 to 1: WCAG 2.2, 1.4.3.
    assert min(greys.values()) >= 0x76
    assert min(abs(greys[a] - greys[b]) for a, b in combinations("RGOB", 2)) >= 36


def corners_of(shape: ET.Element) -> list[tuple[float, float]]:
    """The corners of a polygon, of a path of straight lines, or of a rectangle."""
    if shape.tag == f"{SVG}rect":
        x, y, wide, high = (float(shape.get(name, "")) for name in ("x", "y", "width", "height"))
        return [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
    numbers = [float(text) for text in NUMBERS.findall(shape.get("points") or shape.get("d") or "")]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def is_in(point: tuple[float, float], corners: list[tuple[float, float]]) -> bool:
    """Whether a ray from ``point`` to the right crosses the outline an odd number of times."""
    x, y = point
    crossed = False
    for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1], strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            crossed = not crossed
    return crossed


def drawn_stickers(root: ET.Element) -> list[ET.Element]:
    """Side stickers as they are drawn: painted, a fin, or an open one beside the layer."""
    painted = [group[0] for group in root.findall(f"{SVG}g") if "sticker" in group.get("class", "")]
    fins = [path for path in root.findall(f"{SVG}path") if path.get("fill") == "currentColor"]
    is_open = [rect for rect in root.findall(f"{SVG}rect") if rect.get("class") == "side-tile"]
    return [*painted[1:], *fins, *is_open]  # the first painted shape is the top


@pytest.mark.parametrize("case", CASES.values(), ids=str)
def test_each_ring_of_a_cue_lies_on_a_drawn_sticker(case):
    n_rings = 0
    for angle in range(case.n_angles):
        cues = [cue_of(case, angle), cue_of(case, angle, in_sight=True)]
        if case.id.stage is Stage.PLL:
            cues.append(two_sided_cue(case, angle))
        for cue in cues:
            marks = cue_stickers(cue)
            root = read(case_picture(case, angle=angle, marks=marks))
            shapes = [corners_of(shape) for shape in drawn_stickers(root)]
            rings = [c for c in root.iter(f"{SVG}circle") if c.get("class") == "cue-ring"]
            n_rings += len(rings)
            assert len(rings) == len(marks)
            for circle in rings:
                middle = float(circle.get("cx", "")), float(circle.get("cy", ""))
                assert sum(is_in(middle, corners) for corners in shapes) == 1
    assert n_rings or case.id.stage is Stage.OLL


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
