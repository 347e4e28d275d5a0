"""A frozen position of the cube, as the place of each of its 48 stickers.

Sticker ``8 * face + i`` belongs, when the cube is solved, at the place of the same number. On
every face 0-3 are edges and 4-7 corners, clockwise, counted in the face's reference hold
(`turns.hold_with_up`): edge 0 lies at the front, corner 0 between edges 0 and 1. So the last layer
of a solve, whatever its colour, is one slice of eight bytes, and a turn is one ``translate``.
"""

from dataclasses import dataclass
from typing import NewType, cast

from cubecore.turns import (
    FACE_BY_NORMAL,
    N_TURNS,
    Face,
    Hold,
    Table,
    Turn,
    Turns,
    Vector,
    byte_table,
    face_of,
    hold_with_up,
    make_turn,
    quarter_turns_of,
    turn_axis,
)

Places = NewType("Places", bytes)
"""A position: at ``[s]`` the place where sticker ``s`` lies."""

N_STICKERS = 48
SOLVED = Places(bytes(range(N_STICKERS)))

# The stickers of the upper face as places of their pieces: front, left, back, right, then the
# corners between them.
_TOP_PIECES: tuple[Vector, ...] = (
    (0, 1, 1),
    (-1, 1, 0),
    (0, 1, -1),
    (1, 1, 0),
    (-1, 1, 1),
    (-1, 1, -1),
    (1, 1, -1),
    (1, 1, 1),
)


def _position_in(hold: Hold, vector: Vector) -> Vector:
    """``vector``, given as the solver sees it in ``hold``, in the fixed frame."""
    right, up, front = (hold[face].normal for face in (Face.R, Face.U, Face.F))
    x, y, z = vector
    return (
        x * right[0] + y * up[0] + z * front[0],
        x * right[1] + y * up[1] + z * front[1],
        x * right[2] + y * up[2] + z * front[2],
    )


def _sticker_places() -> tuple[tuple[Vector, Vector], ...]:
    places = []
    for face in Face:
        hold = hold_with_up(face)
        places += [(_position_in(hold, piece), face.normal) for piece in _TOP_PIECES]
    return tuple(places)


# For each place: the piece it is on, as a vector from the middle of the cube, and the way it faces.
PLACES = _sticker_places()
_PLACE_NUMBER = {place: number for number, place in enumerate(PLACES)}
PIECES: dict[frozenset[Face], tuple[int, ...]] = {}
for _piece in dict.fromkeys(piece for piece, _ in PLACES):
    _stickers = tuple(n for n, (piece, _) in enumerate(PLACES) if piece == _piece)
    PIECES[frozenset(Face(n // 8) for n in _stickers)] = _stickers


def _turn_table(turn: Turn) -> Table:
    face, amount = face_of(turn), quarter_turns_of(turn)
    moved = {}
    for number, (piece, normal) in enumerate(PLACES):
        if sum(a * b for a, b in zip(piece, face.normal, strict=True)) == 1:
            after = (
                turn_axis(face.normal, piece, amount),
                turn_axis(face.normal, normal, amount),
            )
            moved[number] = _PLACE_NUMBER[after]
    return byte_table(moved)


TURN_TABLES = tuple(_turn_table(Turn(turn)) for turn in range(N_TURNS))


# For each last-layer face the four positions in which at most an AUF is missing.
SOLVED_UP_TO_AUF = tuple(
    frozenset([SOLVED, *(SOLVED.translate(TURN_TABLES[make_turn(face, q)]) for q in (1, 2, 3))])
    for face in Face
)


def hold_table(hold: Hold) -> Table:
    """Table that renames fixed-frame places as a solver in ``hold`` names them."""
    names = {}
    for number, (piece, normal) in enumerate(PLACES):
        names[_PLACE_NUMBER[(_position_in(hold, piece), _position_in(hold, normal))]] = number
    return byte_table(names)


def walk(places: Places, turns: Turns) -> list[Places]:
    """Every position from ``places`` on: ``len(turns) + 1`` of them, the start included."""
    after: bytes = places
    tables = TURN_TABLES
    positions = [after, *[after := after.translate(tables[turn]) for turn in turns]]
    return cast("list[Places]", positions)


def after_turns(places: Places, turns: Turns) -> Places:
    """The position that ``turns`` lead to from ``places``."""
    after: bytes = places
    for turn in turns:
        after = after.translate(TURN_TABLES[turn])
    return Places(after)


@dataclass(frozen=True, slots=True)
class Cube:
    """A position. ``places[s]`` is where sticker ``s`` lies; the solved cube by default."""

    places: Places = SOLVED

    def after(self, turns: Turns) -> "Cube":
        """The cube after ``turns``."""
        return Cube(after_turns(self.places, turns))

    def is_solved(self) -> bool:
        """Whether every sticker is home (holds do not matter: the centres are the frame)."""
        return self.places == SOLVED

    def colours(self) -> bytes:
        """For each of the 48 places the face whose colour shows there."""
        colours = bytearray(N_STICKERS)
        for sticker, place in enumerate(self.places):
            colours[place] = sticker // 8
        return bytes(colours)

    def seen_from(self, hold: Hold) -> dict[Face, tuple[Face, ...]]:
        """What a solver in ``hold`` sees: for each of their faces nine colours, row by row.

        Each face is read as if looked at straight, the upper face with its back edge first, the
        lower face with its front edge first.
        """
        colours = self.colours()
        at = {}
        for number, (piece, normal) in enumerate(PLACES):
            at[piece, normal] = Face(colours[number])
        picture = {}
        for face in Face:
            normal = _position_in(hold, face.normal)
            cells = []
            for piece in _grid(face):
                fixed = _position_in(hold, piece)
                cells.append(at.get((fixed, normal), FACE_BY_NORMAL[normal]))
            picture[face] = tuple(cells)
        return picture


def _grid(face: Face) -> list[Vector]:
    """The nine piece positions of ``face``, row by row as it is looked at."""
    across, down = {
        Face.U: ((1, 0, 0), (0, 0, 1)),
        Face.D: ((1, 0, 0), (0, 0, -1)),
        Face.F: ((1, 0, 0), (0, -1, 0)),
        Face.B: ((-1, 0, 0), (0, -1, 0)),
        Face.R: ((0, 0, -1), (0, -1, 0)),
        Face.L: ((0, 0, 1), (0, -1, 0)),
    }[face]
    steps = (-1, 0, 1)
    return [
        (
            face.normal[0] + i * across[0] + j * down[0],
            face.normal[1] + i * across[1] + j * down[1],
            face.normal[2] + i * across[2] + j * down[2],
        )
        for j in steps
        for i in steps
    ]


CELLS = tuple((piece, face.normal) for face in Face for piece in _grid(face))
"""The 54 stickers around a solver in the home hold, centres too, as `Cube.seen_from` reads them."""
CELL_NUMBER = {cell: number for number, cell in enumerate(CELLS)}


def cell_sources(turns: Turns, hold: Hold) -> tuple[int, ...]:
    """For each of the 54 cells around a solver the cell that its sticker came from.

    Args:
        turns: What was turned since the home hold.
        hold: The hold that the solver is in afterwards.
    """
    sticker_at = {place: sticker for sticker, place in enumerate(after_turns(SOLVED, turns))}
    sources = []
    for piece, normal in CELLS:
        cell = _position_in(hold, piece), _position_in(hold, normal)
        if cell in _PLACE_NUMBER:
            cell = PLACES[sticker_at[_PLACE_NUMBER[cell]]]
        sources.append(CELL_NUMBER[cell])
    return tuple(sources)
