"""Pictures as SVG text: a case from above in ink, and a cube as a solver sees it.

A sticker that faces up is a solid tile; one that does not is an open tile with a fin on the side
it faces. The near edge has a notch. Permutations are drawn as arrows from where a piece lies to
where it belongs, cycles of three finer than swaps. Colours are left to the page: ink is
``currentColor``, paper the class ``paper`` (white without a style sheet).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from xml.sax.saxutils import quoteattr

from cubecore.cases import Case, LastLayerKey, Stage, case_at_angle, homeward
from cubecore.cube import PLACES, Cube, Places
from cubecore.holds import STICKER_PLACES, Sticker
from cubecore.turns import Face, Hold, Vector

_TILE = 20
_PITCH = 22
_MARGIN = 16
_BOX = 2 * _MARGIN + 2 * _PITCH + _TILE
_FIN = 9
_COLOUR_LETTERS = "WRGYOB"


@dataclass(frozen=True, slots=True)
class Drawing:
    """A case picture in its parts, for pages and for paper.

    Attributes:
        text: What is read out in its place.
        shapes: SVG elements in the order in which they are drawn, their ink ``currentColor``.
    """

    text: str
    shapes: tuple[str, ...]

    def svg(self, *, size: int, ink: str = "currentColor") -> str:
        """The picture, ``size`` pixels wide and high; ``ink`` is a colour as SVG writes it."""
        shapes = "".join(self.shapes).replace("currentColor", ink)
        return (
            '<svg class="case-picture" xmlns="http://www.w3.org/2000/svg" role="img" '
            f'width="{size}" height="{size}" viewBox="0 0 {_BOX} {_BOX}" '
            f"aria-label={quoteattr(self.text)}>{shapes}</svg>"
        )


def case_drawing(
    case: Case, *, angle: int = 0, text: str = "", marks: Iterable[Sticker] = ()
) -> Drawing:
    """The last layer of ``case`` from above, met at ``angle``.

    ``text`` is read out in its place; the case's name when empty. Each of ``marks`` gets a ring:
    the side stickers to look at.
    """
    key = case_at_angle(case, angle)
    shapes = [_frame(), *_tiles(key), *map(_ring, marks)]
    if case.id.stage is Stage.PLL:
        shapes += _arrows(key)
    return Drawing(text or str(case), tuple(shapes))


def case_picture(
    case: Case,
    *,
    size: int = 96,
    angle: int = 0,
    text: str = "",
    marks: Iterable[Sticker] = (),
) -> str:
    """`case_drawing` as SVG."""
    return case_drawing(case, angle=angle, text=text, marks=marks).svg(size=size)


def _middle(piece: Vector) -> tuple[int, int]:
    """The middle of a piece's tile; x to the right, y downwards (towards the solver)."""
    half = _MARGIN + _TILE // 2
    return half + (piece[0] + 1) * _PITCH, half + (piece[2] + 1) * _PITCH


def _frame() -> str:
    """The layer's outline, notched in the middle of the near edge."""
    low, high, middle = _MARGIN - 3, _BOX - _MARGIN + 3, _BOX // 2
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


def _ring(sticker: Sticker) -> str:
    """A ring where the fin of a side sticker would be."""
    piece, normal = PLACES[STICKER_PLACES[sticker]]
    x, y = _middle(piece)
    out = _TILE // 2 + 7
    return (
        f'<circle class="cue-ring" cx="{x + out * normal[0]}" cy="{y + out * normal[2]}" r="8" '
        'fill="none" stroke="currentColor" stroke-width="2" stroke-dasharray="3 1.5"/>'
    )


def _arrows(key: LastLayerKey) -> list[str]:
    """Arrows for the pieces that move, a swap as one line with two heads."""
    homes = homeward(key)
    shapes = []
    for start, end in homes.items():
        if start == end:
            continue
        is_swap = homes[end] == start
        if is_swap and start > end:
            continue
        shapes.append(_arrow(PLACES[start][0], PLACES[end][0], is_swap=is_swap))
    return shapes


def _arrow(start: Vector, end: Vector, *, is_swap: bool) -> str:
    (x1, y1), (x2, y2) = _middle(start), _middle(end)
    length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    heads = [_head(x2, y2, ux, uy)]
    if is_swap:
        heads.append(_head(x1, y1, -ux, -uy))
    weight = 3 if is_swap else 1.6
    line = (
        f"M{x1 + (6 * ux if is_swap else 0):.1f} {y1 + (6 * uy if is_swap else 0):.1f}"
        f"L{x2 - 6 * ux:.1f} {y2 - 6 * uy:.1f}"
    )
    return (
        f'<path d="{line}" fill="none" stroke="currentColor" stroke-width="{weight + 3}"/>'
        f'<path class="paper-line" d="{line}" fill="none" stroke="#fff" stroke-width="{weight}"/>'
        f'<path class="paper" d="{"".join(heads)}" fill="#fff" stroke="currentColor" '
        'stroke-width="0.8"/>'
    )


def _head(x: float, y: float, ux: float, uy: float) -> str:
    """A triangle whose tip is at x, y and which points along (ux, uy)."""
    back_x, back_y = x - 7 * ux, y - 7 * uy
    return (
        f"M{x:.1f} {y:.1f}L{back_x - 3.5 * uy:.1f} {back_y + 3.5 * ux:.1f}"
        f"L{back_x + 3.5 * uy:.1f} {back_y - 3.5 * ux:.1f}Z"
    )


def colour_letters(places: Places, hold: Hold) -> str:
    """The 54 colours a solver in ``hold`` has around them, as letters W R G Y O B.

    Faces come in the order U R F D L B, each row by row as `cube.Cube.seen_from` reads it.
    """
    seen = Cube(places).seen_from(hold)
    return "".join(_COLOUR_LETTERS[colour] for face in Face for colour in seen[face])


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
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)
    x = sum(corner[0] for corner in corners) / 4
    y = sum(corner[1] for corner in corners) / 4
    return (
        f'<g class="sticker sticker-{letter.lower()}" data-cell="{cell}">'
        f'<polygon points="{points}"/><text x="{x:.1f}" y="{y + 3:.1f}" font-size="8" '
        f'text-anchor="middle">{letter}</text></g>'
    )
