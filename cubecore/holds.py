"""What a solver sees of a last layer in a given hold: the top, and the sides row by row."""

from typing import NamedTuple

from cubecore.cases import CASES, CaseId, LastLayerKey, Stage, case_at_angle
from cubecore.cube import PLACES
from cubecore.turns import Face, Vector, turn_axis
from cubecore.words import Word


class Side(Word):
    """A side of the last layer, as the solver names it."""

    FRONT = "front"
    RIGHT = "right"
    BACK = "back"
    LEFT = "left"


class Where(Word):
    """A sticker of a side's row, as it is seen when that side is looked at."""

    LEFT = "left"
    MIDDLE = "middle"
    RIGHT = "right"


class Feature(Word):
    """What a side shows of the last layer's colour (common practice, no source)."""

    BAR_OF_THREE = "bar of three"
    BAR_OF_TWO = "bar of two"
    HEADLIGHTS = "headlights"
    LONE_CORNER = "lone corner"
    LONE_EDGE = "lone edge"
    NOTHING = "nothing"


class SideView(NamedTuple):
    """One side's feature, and at which of its stickers a bar of two or a lone corner lies."""

    feature: Feature
    at: Where | None


class Sticker(NamedTuple):
    """A side sticker by side and place in its row."""

    side: Side
    where: Where

    def __str__(self) -> str:
        """Such as ``front left``."""
        return f"{self.side} {self.where}"


_SIDE_FACES = {Side.FRONT: Face.F, Side.RIGHT: Face.R, Side.BACK: Face.B, Side.LEFT: Face.L}
_FEATURES = {
    (1, 1, 1): SideView(Feature.BAR_OF_THREE, None),
    (1, 1, 0): SideView(Feature.BAR_OF_TWO, Where.LEFT),
    (0, 1, 1): SideView(Feature.BAR_OF_TWO, Where.RIGHT),
    (1, 0, 1): SideView(Feature.HEADLIGHTS, None),
    (1, 0, 0): SideView(Feature.LONE_CORNER, Where.LEFT),
    (0, 0, 1): SideView(Feature.LONE_CORNER, Where.RIGHT),
    (0, 1, 0): SideView(Feature.LONE_EDGE, None),
    (0, 0, 0): SideView(Feature.NOTHING, None),
}


def _row_places(face: Face) -> tuple[int, ...]:
    """The three last-layer places of a side, left to right as it is looked at."""
    rightwards = turn_axis(Face.U.normal, face.normal, 3)

    def along(place: int) -> int:
        piece: Vector = PLACES[place][0]
        return sum(a * b for a, b in zip(piece, rightwards, strict=True))

    row = [n for n, (piece, normal) in enumerate(PLACES) if normal == face.normal and piece[1] == 1]
    return tuple(sorted(row, key=along))


STICKER_PLACES = {
    Sticker(side, where): place
    for side, face in _SIDE_FACES.items()
    for where, place in zip(Where, _row_places(face), strict=True)
}
VISIBLE = tuple(sticker for sticker in STICKER_PLACES if sticker.side in (Side.FRONT, Side.RIGHT))


def top_shape(key: LastLayerKey) -> frozenset[int]:
    """The top places (0-7 of `cube.PLACES`) whose sticker faces up."""
    return frozenset(place for place in key if place < 8)


def shows_last_colour(key: LastLayerKey) -> dict[Sticker, bool]:
    """For each of the twelve side stickers whether it has the last layer's colour."""
    shown = set(key)
    return {sticker: place in shown for sticker, place in STICKER_PLACES.items()}


def side_views(key: LastLayerKey) -> dict[Side, SideView]:
    """What each side shows of the last layer's colour."""
    shown = shows_last_colour(key)
    return {
        side: _FEATURES[
            (
                int(shown[Sticker(side, Where.LEFT)]),
                int(shown[Sticker(side, Where.MIDDLE)]),
                int(shown[Sticker(side, Where.RIGHT)]),
            )
        ]
        for side in Side
    }


def side_colours(key: LastLayerKey) -> dict[Sticker, int]:
    """For an oriented layer, the colour of each side sticker as quarter turns from the front.

    Two stickers match when their numbers are equal and are opposite when they differ by two; only
    differences mean anything, as AUF turns them all.
    """
    colours = {}
    sticker_at = {PLACES[place]: sticker for sticker, place in STICKER_PLACES.items()}
    for home, lies in enumerate(key):
        home_piece, lies_piece = PLACES[home][0], PLACES[lies][0]
        turned = next(n for n in range(4) if turn_axis(Face.U.normal, home_piece, n) == lies_piece)
        for steps, face in enumerate((Face.F, Face.L, Face.B, Face.R)):
            seen_on = turn_axis(Face.U.normal, face.normal, turned)
            if (home_piece, face.normal) in sticker_at:
                colours[sticker_at[lies_piece, seen_on]] = steps
    return colours


def all_views(stage: Stage) -> dict[tuple[CaseId, int], LastLayerKey]:
    """Every case of a stage at every angle."""
    return {
        (case.id, angle): case_at_angle(case, angle)
        for case in CASES.values()
        if case.id.stage is stage
        for angle in range(case.n_angles)
    }
