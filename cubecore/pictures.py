"""Pictures as SVG text: a case as it is told, and a cube as a solver sees it.

An OLL is drawn from above in ink. A sticker that faces up is a solid tile; one that does not is an
open tile with a fin on the side it faces. The near edge has a notch. A PLL is told by its side
stickers: it is drawn as a solver holds it, in paint (`stickers`); where its pieces go is a drawing
of its own. Colours are left to the page: ink is ``currentColor``.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from xml.sax.saxutils import quoteattr

from cubecore.cases import Case, LastLayerKey, Stage, case_at_angle
from cubecore.cube import PLACES, Cube, Places
from cubecore.holds import STICKER_PLACES, Sticker, shows_last_colour
from cubecore.stickers import (
    BOX,
    COLOUR_LETTERS,
    held_shapes,
    middle_of,
    painted,
    polygon,
    ring,
    track_shapes,
    written,
)
from cubecore.turns import Face, Hold, Vector

_TILE = 20
_PITCH = 22
_MARGIN = 16
_FIN = 9
LETTERS_FROM = 48
"""Below so many pixels letters are left out: they would be smudges."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """A case picture in its parts, for pages and for paper.

    Attributes:
        text: What is read out in its place.
        shapes: SVG elements in the order in which they are drawn, their ink ``currentColor``.
        letters: The letters in its stickers, drawn above all else.
    """

    text: str
    shapes: tuple[str, ...]
    letters: tuple[str, ...] = ()

    def svg(self, *, size: int, ink: str = "currentColor", has_letters: bool | None = None) -> str:
        """The picture.

        Args:
            size: Pixels, wide and high.
            ink: A colour as SVG writes it.
            has_letters: Whether letters are drawn; None where the size settles it.
        """
        is_lettered = size >= LETTERS_FROM if has_letters is None else has_letters
        shapes = "".join([*self.shapes, *(self.letters if is_lettered else ())])
        return (
            '<svg class="case-picture" xmlns="http://www.w3.org/2000/svg" role="img" '
            f'width="{size}" height="{size}" viewBox="0 0 {BOX} {BOX}" '
            f"aria-label={quoteattr(self.text)}>{shapes.replace('currentColor', ink)}</svg>"
        )


def case_drawing(
    case: Case,
    *,
    angle: int = 0,
    text: str = "",
    marks: Iterable[Sticker] = (),
    last: Face = Face.D,
) -> Drawing:
    """The last layer of ``case``, met at ``angle``: an OLL from above, a PLL as it is held.

    Args:
        case: The case.
        angle: The angle it is met at.
        text: What is read out in its place; the case's name when empty.
        marks: The side stickers to look at: each gets a ring, and is drawn where it lies.
        last: The face whose colour the last layer has.
    """
    key = case_at_angle(case, angle)
    if case.id.stage is Stage.PLL:
        shapes, letters = held_shapes(key, last, marks)
        return Drawing(text or str(case), tuple(shapes), tuple(letters))
    return Drawing(text or str(case), (_frame(), *_tiles(key), *_marked(key, marks)))


def track_drawing(case: Case, *, angle: int = 0, text: str = "", last: Face = Face.D) -> Drawing:
    """A PLL from above, its side stickers round it and an arrow from each piece to its place."""
    shapes, letters = track_shapes(case_at_angle(case, angle), last)
    return Drawing(text or str(case), tuple(shapes), tuple(letters))


def case_picture(
    case: Case,
    *,
    size: int = 96,
    angle: int = 0,
    text: str = "",
    marks: Iterable[Sticker] = (),
    last: Face = Face.D,
) -> str:
    """`case_drawing` as SVG."""
    return case_drawing(case, angle=angle, text=text, marks=marks, last=last).svg(size=size)


def _middle(piece: Vector) -> tuple[int, int]:
    """The middle of a piece's tile; x to the right, y downwards (towards the solver)."""
    half = _MARGIN + _TILE // 2
    return half + (piece[0] + 1) * _PITCH, half + (piece[2] + 1) * _PITCH


def _frame() -> str:
    """The layer's outline, notched in the middle of the near edge."""
    low, high, middle = _MARGIN - 3, BOX - _MARGIN + 3, BOX // 2
    return (
        f'<path d="M{low} {low}H{high}V{high}H{middle + 5}L{middle} {high - 5}L{middle - 5} {high}'
        f'H{low}Z" fill="none" stroke="currentColor" stroke-width="1"/>'
    )


def _tiles(key: LastLayerKey) -> list[str]:
    x, y = _middle((0, 1, 0))
    shapes = [_tile(x, y, is_up=True)]
    for place in key:
        piece, normal = PLACES[place]
        x, y = _middle(piece)
        is_up = normal == Face.U.normal
        shapes.append(_tile(x, y, is_up=is_up))
        if not is_up:
            shapes.append(_fin(x, y, normal[0], normal[2]))
    return shapes


def _tile(x: int, y: int, *, is_up: bool) -> str:
    inset = 0 if is_up else 1
    paint = 'fill="currentColor"' if is_up else 'fill="none" stroke="currentColor" stroke-width="1"'
    side = _TILE - 2 * inset
    corner = _TILE // 2 - inset
    return f'<rect x="{x - corner}" y="{y - corner}" width="{side}" height="{side}" {paint}/>'


def _fin(x: int, y: int, out_x: int, out_y: int) -> str:
    """A blade that points out of the side (``out_x``, ``out_y``) of the tile at x, y."""
    edge = _TILE // 2 + 4
    base_x, base_y = x + out_x * edge, y + out_y * edge
    tip_x, tip_y = base_x + out_x * _FIN, base_y + out_y * _FIN
    wide_x, wide_y = 7 * abs(out_y), 7 * abs(out_x)
    return (
        f'<path d="M{base_x - wide_x} {base_y - wide_y}L{tip_x} {tip_y}'
        f'L{base_x + wide_x} {base_y + wide_y}Z" fill="currentColor"/>'
    )


def _marked(key: LastLayerKey, marks: Iterable[Sticker]) -> list[str]:
    """A ring round each of ``marks``; one that has not the last colour is drawn open below it."""
    shapes = []
    for sticker in marks:
        piece, normal = PLACES[STICKER_PLACES[sticker]]
        x, y = _middle(piece)
        out = _TILE // 2 + 7
        x, y = x + out * normal[0], y + out * normal[2]
        if not shows_last_colour(key)[sticker]:
            wide, high = (5, 12) if normal[0] else (12, 5)
            shapes.append(
                f'<rect class="side-tile" x="{x - wide / 2}" y="{y - high / 2}" width="{wide}" '
                f'height="{high}" fill="none" stroke="currentColor" stroke-width="1"/>'
            )
        shapes.append(ring((x, y), 8))
    return shapes


def colour_letters(places: Places, hold: Hold) -> str:
    """The 54 colours a solver in ``hold`` has around them, as letters W R G Y O B.

    Faces come in the order U R F D L B, each row by row as `cube.Cube.seen_from` reads it.
    """
    seen = Cube(places).seen_from(hold)
    return "".join(COLOUR_LETTERS[colour] for face in Face for colour in seen[face])


def cube_picture(letters: str, *, size: int = 240, text: str = "") -> str:
    """The upper, right and front faces of the cube that ``letters`` (54 of them) describe.

    Every sticker has its letter in it and the class ``sticker-w`` (or r g y o b); its place in
    ``letters`` is ``data-cell``, so that a script can repaint it.
    """
    shapes = [
        _sticker(letters, 9 * face + 3 * row + column, _corners(face, row, column))
        for face in (Face.U, Face.R, Face.F)
        for row in range(3)
        for column in range(3)
    ]
    return (
        f'<svg class="cube-picture" xmlns="http://www.w3.org/2000/svg" role="img" width="{size}" '
        f'height="{size}" viewBox="-2 -2 124 136" aria-label={quoteattr(text or "cube")}>'
        f"{''.join(shapes)}</svg>"
    )


def _project(x: float, up: float, back: float) -> tuple[float, float]:
    """A point of the cube (0-3 to the right, upwards, to the back) on the picture."""
    return 20 * (x + back), 11 * (x - back) + 22 * (3 - up) + 33


def _corners(face: Face, row: int, column: int) -> list[tuple[float, float]]:
    gap = 0.06
    near, far = gap, 1 - gap
    corners = [(near, near), (far, near), (far, far), (near, far)]
    if face is Face.U:
        return [_project(column + a, 3, 3 - row - b) for a, b in corners]
    if face is Face.F:
        return [_project(column + a, 3 - row - b, 0) for a, b in corners]
    return [_project(3, 3 - row - b, column + a) for a, b in corners]


def _sticker(letters: str, cell: int, corners: list[tuple[float, float]]) -> str:
    letter = letters[cell]
    return painted(letter, polygon(corners) + written(letter, middle_of(corners), 9), cell=cell)
