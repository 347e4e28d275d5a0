"""What a solver sees of a case: held against the stickers of the slow cube, every case and angle."""

import pytest

from cubecore.cases import CASES, Stage, case_at_angle
from cubecore.cube import PLACES
from cubecore.holds import (
    STICKER_PLACES,
    VISIBLE,
    Feature,
    Side,
    SideView,
    Sticker,
    Where,
    all_views,
    shows_last_colour,
    side_colours,
    side_views,
    top_shape,
)
from tests.cubecore import twin
from tests.cubecore.met import is_up_colour, met_at

# Each side's row from left to right, as that side is looked at.
ROWS = {
    Side.FRONT: "F1 F2 F3",
    Side.RIGHT: "R1 R2 R3",
    Side.BACK: "B1 B2 B3",
    Side.LEFT: "L1 L2 L3",
}
NAMES = {
    Sticker(side, where): name
    for side, row in ROWS.items()
    for where, name in zip(Where, row.split(), strict=True)
}
# The upper face's facelets by the piece they are on: x to the right, z to the front.
TOP_NAMES = {
    (-1, -1): "U1", (0, -1): "U2", (1, -1): "U3",
    (-1, 0): "U4", (1, 0): "U6",
    (-1, 1): "U7", (0, 1): "U8", (1, 1): "U9",
}  # fmt: skip
VIEWS = [(case, angle) for case in CASES.values() for angle in range(case.n_angles)]


def test_all_views_are_every_case_at_every_angle():
    for stage in Stage:
        expected = {
            (case.id, angle): case_at_angle(case, angle)
            for case, angle in VIEWS
            if case.id.stage is stage
        }
        assert all_views(stage) == expected


def test_sides_and_top_show_what_the_slow_cube_shows():
    for case, angle in VIEWS:
        key, colours = case_at_angle(case, angle), met_at(case, angle)
        up = {TOP_NAMES[PLACES[place][0][0], PLACES[place][0][2]] for place in top_shape(key)}
        assert up == {name for name in TOP_NAMES.values() if is_up_colour(colours, name)}, case
        assert shows_last_colour(key) == {
            sticker: is_up_colour(colours, name) for sticker, name in NAMES.items()
        }, (case, angle)


def test_front_and_right_are_in_sight():
    assert [str(sticker) for sticker in VISIBLE] == [
        "front left", "front middle", "front right", "right left", "right middle", "right right",
    ]  # fmt: skip
    assert set(STICKER_PLACES) == set(NAMES)


def test_side_colours_match_and_are_opposite_where_the_slow_cube_says_so():
    opposite = {"F": "B", "B": "F", "R": "L", "L": "R"}
    for case, angle in VIEWS:
        if case.id.stage is Stage.PLL:
            shown, colours = side_colours(case_at_angle(case, angle)), met_at(case, angle)
            for one, first in NAMES.items():
                for other, second in NAMES.items():
                    a, b = colours[twin.NUMBER[first]], colours[twin.NUMBER[second]]
                    steps = (shown[one] - shown[other]) % 4
                    assert (steps == 0) == (a == b)
                    assert (steps == 2) == (opposite[a] == b)


@pytest.mark.parametrize(
    ("number", "views"),
    [
        # Common practice, no source; read off the stickers by hand.
        (21, {Side.FRONT: (Feature.HEADLIGHTS, None), Side.BACK: (Feature.HEADLIGHTS, None),
              Side.LEFT: (Feature.NOTHING, None), Side.RIGHT: (Feature.NOTHING, None)}),
        (27, {Side.FRONT: (Feature.LONE_CORNER, Where.RIGHT), Side.LEFT: (Feature.NOTHING, None)}),
        (45, {Side.LEFT: (Feature.HEADLIGHTS, None), Side.FRONT: (Feature.LONE_EDGE, None),
              Side.BACK: (Feature.LONE_EDGE, None)}),
        (46, {Side.RIGHT: (Feature.BAR_OF_THREE, None), Side.LEFT: (Feature.LONE_EDGE, None)}),
        (36, {Side.LEFT: (Feature.BAR_OF_TWO, Where.RIGHT)}),
        (38, {Side.RIGHT: (Feature.BAR_OF_TWO, Where.LEFT)}),
    ],
)  # fmt: skip
def test_a_known_case_has_the_side_features_everybody_knows(number, views):
    case = next(case for case in CASES.values() if case.id.number == number)
    got = side_views(case.key)

    assert {side: got[side] for side in views} == {
        side: SideView(*view) for side, view in views.items()
    }


def test_every_side_feature_is_what_its_row_shows():
    words = {
        "###": Feature.BAR_OF_THREE, "##.": Feature.BAR_OF_TWO, ".##": Feature.BAR_OF_TWO,
        "#.#": Feature.HEADLIGHTS, "#..": Feature.LONE_CORNER, "..#": Feature.LONE_CORNER,
        ".#.": Feature.LONE_EDGE, "...": Feature.NOTHING,
    }  # fmt: skip
    for case, angle in VIEWS:
        colours = met_at(case, angle)
        for side, view in side_views(case_at_angle(case, angle)).items():
            row = "".join("#" if is_up_colour(colours, n) else "." for n in ROWS[side].split())
            assert view.feature is words[row]
            if view.at is not None:
                assert row[list(Where).index(view.at)] == "#"
                assert row[0] != row[2]
