"""The last layer of a PLL in painted stickers: as a solver holds it, and from above with tracks.

Each sticker has the letter of its colour in it and the class ``sticker-w`` (or r g y o b), by which
a page paints it. Without a style sheet, and on paper, it has a tint of its own between paper and
ink: a black printer keeps the six apart.
"""

from collections.abc import Iterable, Iterator, Mapping

from cubecore.cases import LastLayerKey, homeward
from cubecore.cube import PLACES
from cubecore.holds import STICKER_PLACES, Side, Sticker, Where, side_colours
from cubecore.turns import Face, Vector, hold_with_up

BOX = 96
"""Width and height of a case picture in its units."""
COLOUR_LETTERS = "WRGYOB"
TINTS = {
    "W": "#fff",
    "O": "#e6e6e6",
    "Y": "#d3d3d3",
    "G": "#c0c0c0",
    "R": "#9a9a9a",
    "B": "#767676",
}
"""Each colour on paper; those round a white or yellow layer lie as far apart as letters allow."""
_BLANK = "#fff"

Point = tuple[float, float]

# The layer as it is held: half a diamond's width and height for each of its three pieces, then how
# tall the layer and what is drawn of the rest stand.
_ACROSS, _SLOPE = 14.6, 7.2
_LAYER, _BODY = 29.0, 11.0
_LEFT, _TOP = 4.2, 4.0
_GAP = 0.045
_TALL = 13

# The layer from above: tiles that lie `_PITCH` apart round the middle, a band of stickers on each side.
_PITCH, _TILE = 20, 18
_BAND, _BAND_GAP = 12, 2


def painted(letter: str, shape: str, *, cell: int | None = None, tint: str = "") -> str:
    """A sticker: ``shape``, whose paint is ``letter``'s, in a group that a page can repaint.

    ``tint`` is its paint on paper, where that is another than ``letter``'s.
    """
    place = "" if cell is None else f' data-cell="{cell}"'
    return (
        f'<g class="sticker sticker-{letter.lower()}"{place} fill="{tint or TINTS[letter]}" '
        f'stroke="currentColor" stroke-width="1">{shape}</g>'
    )


def polygon(corners: Iterable[Point]) -> str:
    """A polygon with these corners."""
    return f'<polygon points="{_points(corners)}"/>'


def _points(corners: Iterable[Point]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)


def written(letter: str, middle: Point, size: int) -> str:
    """A letter in the middle of a sticker."""
    x, y = middle
    return (
        f'<text class="sticker-letter" x="{x:.1f}" y="{y + 0.36 * size:.1f}" font-size="{size}" '
        f'font-weight="700" font-family="monospace" text-anchor="middle" fill="#000" '
        f'stroke="none">{letter}</text>'
    )


def middle_of(corners: list[Point]) -> Point:
    """The middle of a sticker."""
    return sum(x for x, _ in corners) / len(corners), sum(y for _, y in corners) / len(corners)


def side_letters(key: LastLayerKey, last: Face) -> dict[Sticker, str]:
    """The colour of each side sticker of an oriented layer, the layer ``last`` up, as a letter."""
    hold = hold_with_up(last)
    faces = [hold[face] for face in (Face.F, Face.L, Face.B, Face.R)]
    return {sticker: COLOUR_LETTERS[faces[steps]] for sticker, steps in side_colours(key).items()}


def held_shapes(
    key: LastLayerKey, last: Face, marks: Iterable[Sticker]
) -> tuple[list[str], list[str]]:
    """The layer as a solver holds it, front and right in sight: its shapes, and its letters.

    What is below the layer is drawn without stickers: it is home, and tells nothing.
    """
    letters = side_letters(key, last)
    shapes = [*_body(), painted(COLOUR_LETTERS[last], _top(), tint=_BLANK)]
    said = [written(COLOUR_LETTERS[last], _at(1.5, 0, 1.5), 10)]
    for sticker, letter in letters.items():
        if sticker.side in _NEAR:
            corners = _near_corners(sticker)
            shapes.append(painted(letter, polygon(corners)))
            said.append(written(letter, middle_of(corners), _TALL))
    rings = [ring(middle_of(_near_corners(mark)), 7.6, is_on_paint=True) for mark in marks]
    return [*shapes, *rings], said


_NEAR = (Side.FRONT, Side.RIGHT)


def _at(x: float, down: float, back: float) -> Point:
    """A point of the layer (0-3 to the right and to the back, ``down`` in units) on the picture."""
    return _LEFT + _ACROSS * (x + back), _TOP + _SLOPE * (3 + x - back) + down


def _near_corners(sticker: Sticker) -> list[Point]:
    at = list(Where).index(sticker.where)
    begin, end, top, foot = at + _GAP, at + 1 - _GAP, 0.8, _LAYER - 0.8
    if sticker.side is Side.FRONT:
        return [_at(begin, top, 0), _at(end, top, 0), _at(end, foot, 0), _at(begin, foot, 0)]
    return [_at(3, top, begin), _at(3, top, end), _at(3, foot, end), _at(3, foot, begin)]


def _top() -> str:
    """The nine stickers on top as one shape."""
    tiles = []
    for x in range(3):
        for back in range(3):
            a, b, c, d = (x + _GAP, x + 1 - _GAP, back + _GAP, back + 1 - _GAP)
            corners = [_at(a, 0, c), _at(b, 0, c), _at(b, 0, d), _at(a, 0, d)]
            tiles.append("M" + "L".join(f"{px:.1f} {py:.1f}" for px, py in corners) + "Z")
    return f'<path d="{"".join(tiles)}"/>'


def _body() -> Iterator[str]:
    """What is below the layer, cut off."""
    low = _LAYER + _BODY
    for edge in ([(0.0, 0.0), (3.0, 0.0)], [(3.0, 0.0), (3.0, 3.0)]):
        (x1, back1), (x2, back2) = edge
        corners = [_at(x1, _LAYER, back1), _at(x2, _LAYER, back2), _at(x2, low, back2)]
        corners.append(_at(x1, low, back1))
        yield (
            f'<polygon class="cube-body" points="{_points(corners)}" fill="none" '
            'stroke="currentColor" stroke-width="1"/>'
        )


def ring(middle: Point, radius: float, *, is_on_paint: bool = False) -> str:
    """A ring that says: look here. On paint it has a rim of paper, to be seen on every colour."""
    x, y = middle
    circle = f'cx="{x:.1f}" cy="{y:.1f}" r="{radius}" fill="none"'
    dashed = 'stroke="currentColor" stroke-width="2" stroke-dasharray="3 1.5"'
    if not is_on_paint:
        return f'<circle class="cue-ring" {circle} {dashed}/>'
    return (
        f'<g class="on-paint"><circle class="cue-rim" {circle} stroke="#fff" stroke-width="3.6"/>'
        f'<circle class="cue-ring" {circle} {dashed}/></g>'
    )


def track_shapes(key: LastLayerKey, last: Face) -> tuple[list[str], list[str]]:
    """The layer from above, its side stickers round it, and where each piece belongs.

    Cycles of three are drawn finer than swaps, a swap as a line with two heads.
    """
    pieces = [PLACES[place][0] for place in range(8)]
    shapes, said = [_open_tile(*_from_above(piece)) for piece in (*pieces, (0, 1, 0))], []
    for sticker, letter in side_letters(key, last).items():
        piece, normal = PLACES[STICKER_PLACES[sticker]]
        corners = _band_corners(piece, normal)
        shapes.append(painted(letter, polygon(corners)))
        said.append(written(letter, middle_of(corners), 10))
    return [*shapes, *_arrows(homeward(key))], said


def _from_above(piece: Vector) -> tuple[int, int]:
    """The middle of a piece's tile; x to the right, y downwards (towards the solver)."""
    return BOX // 2 + piece[0] * _PITCH, BOX // 2 + piece[2] * _PITCH


def _open_tile(x: int, y: int) -> str:
    low = _TILE // 2
    return (
        f'<rect class="open-tile" x="{x - low}" y="{y - low}" width="{_TILE}" height="{_TILE}" '
        'fill="none" stroke="currentColor" stroke-width="1"/>'
    )


def _band_corners(piece: Vector, normal: Vector) -> list[Point]:
    """The corners of a side sticker as a band outside of its piece's tile."""
    tile_x, tile_y = _from_above(piece)
    out = _TILE / 2 + _BAND_GAP + _BAND / 2
    x, y = tile_x + out * normal[0], tile_y + out * normal[2]
    wide, high = (_BAND, _TILE) if normal[0] else (_TILE, _BAND)
    low_x, high_x, low_y, high_y = x - wide / 2, x + wide / 2, y - high / 2, y + high / 2
    return [(low_x, low_y), (high_x, low_y), (high_x, high_y), (low_x, high_y)]


def _arrows(homes: Mapping[int, int]) -> list[str]:
    """Arrows for the pieces that move, a swap as one line with two heads."""
    shapes = []
    for start, end in homes.items():
        is_swap = homes[end] == start
        if start != end and not (is_swap and start > end):
            shapes.append(_arrow(PLACES[start][0], PLACES[end][0], is_swap=is_swap))
    return shapes


def _arrow(start: Vector, end: Vector, *, is_swap: bool) -> str:
    (x1, y1), (x2, y2) = _from_above(start), _from_above(end)
    length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    heads = [_head(x2, y2, ux, uy)]
    if is_swap:
        heads.append(_head(x1, y1, -ux, -uy))
    begin = 6 if is_swap else 0
    line = f"M{x1 + begin * ux:.1f} {y1 + begin * uy:.1f}L{x2 - 6 * ux:.1f} {y2 - 6 * uy:.1f}"
    return (
        f'<path class="track" d="{line}" fill="none" stroke="currentColor" '
        f'stroke-width="{2.6 if is_swap else 1.3}"/>'
        f'<path class="track-head" d="{"".join(heads)}" fill="currentColor"/>'
    )


def _head(x: float, y: float, ux: float, uy: float) -> str:
    """A triangle whose tip is at x, y and which points along (ux, uy)."""
    back_x, back_y = x - 8 * ux, y - 8 * uy
    return (
        f"M{x:.1f} {y:.1f}L{back_x - 3.5 * uy:.1f} {back_y + 3.5 * ux:.1f}"
        f"L{back_x + 3.5 * uy:.1f} {back_y - 3.5 * ux:.1f}Z"
    )
