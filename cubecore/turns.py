"""Faces, outer turns and holds as small frozen values.

A run of turns is one byte a turn: ``3 * face + quarter_turns - 1``. The centres are the frame, so a
run of turns means the same however the cube was held. `Turns` and the engine's other kinds of bytes
are types apart: what takes the one is not given the other.
"""

from collections.abc import Iterator, Mapping
from enum import IntEnum
from itertools import product
from typing import NewType, cast

Turn = NewType("Turn", int)
Turns = NewType("Turns", bytes)
Table = NewType("Table", bytes)
"""A new name for each byte, for ``bytes.translate``: of turns, or of places."""
Vector = tuple[int, int, int]

NO_TURNS = Turns(b"")


class Face(IntEnum):
    """A face of the cube by its centre, in the order used by every table of the engine."""

    U = 0
    R = 1
    F = 2
    D = 3
    L = 4
    B = 5

    def __repr__(self) -> str:
        """As it is written in code: ``Face.U``."""
        return f"{type(self).__name__}.{self.name}"

    @property
    def opposite(self) -> "Face":
        """The face on the other side."""
        return _OPPOSITES[self]

    @property
    def colour(self) -> str:
        """The centre's colour when scrambled white up, green front.

        WCA Regulations, Article 4; where the other colours lie is common practice, no source.
        """
        return COLOURS[self]

    @property
    def normal(self) -> Vector:
        """Unit vector out of the face; x to the right, y up, z to the front."""
        return NORMALS[self]


_OPPOSITES = (Face.D, Face.L, Face.B, Face.U, Face.R, Face.F)
COLOURS = ("white", "red", "green", "yellow", "orange", "blue")
NORMALS: tuple[Vector, ...] = (
    (0, 1, 0),
    (1, 0, 0),
    (0, 0, 1),
    (0, -1, 0),
    (-1, 0, 0),
    (0, 0, -1),
)
FACE_BY_NORMAL = {normal: Face(index) for index, normal in enumerate(NORMALS)}
FACE_BY_COLOUR = {face.colour: face for face in Face}
SUFFIXES = ("", "2", "'")
N_TURNS = 18
TURN_NAMES = tuple(face.name + suffix for face in Face for suffix in SUFFIXES)


def make_turn(face: Face, quarter_turns: int) -> Turn:
    """The clockwise turn of ``face`` by 1, 2 or 3 quarter turns."""
    return Turn(3 * face + quarter_turns - 1)


def run_of(*turns: Turn) -> Turns:
    """The run of these turns."""
    return Turns(bytes(turns))


def joined(*runs: Turns) -> Turns:
    """The turns of each run, one run after the other."""
    return Turns(b"".join(runs))


def each_turn(turns: Turns) -> Iterator[Turn]:
    """The turns of a run, one by one."""
    return cast("Iterator[Turn]", iter(turns))


def layer_turn(face: Face, quarter_turns: int) -> Turns:
    """The run that turns ``face`` so many quarter turns; an empty run where that is no turn."""
    amount = quarter_turns % 4
    return run_of(make_turn(face, amount)) if amount else NO_TURNS


def face_of(turn: Turn) -> Face:
    """The face that ``turn`` moves."""
    return Face(turn // 3)


def quarter_turns_of(turn: Turn) -> int:
    """How far ``turn`` goes clockwise: 1, 2 or 3 quarter turns."""
    return turn % 3 + 1


def turn_axis(normal: Vector, vector: Vector, quarter_turns: int = 1) -> Vector:
    """``vector`` turned clockwise, seen from outside, about ``normal``.

    One clockwise quarter turn keeps the part along the axis and sends the rest ``v`` to
    ``-(normal x v)``.
    """
    for _ in range(quarter_turns % 4):
        nx, ny, nz = normal
        vx, vy, vz = vector
        along = nx * vx + ny * vy + nz * vz
        cross = (ny * vz - nz * vy, nz * vx - nx * vz, nx * vy - ny * vx)
        vector = (along * nx - cross[0], along * ny - cross[1], along * nz - cross[2])
    return vector


def byte_table(mapping: Mapping[int, int]) -> Table:
    """The table that renames what ``mapping`` names and leaves all else as it is."""
    return Table(bytes(mapping.get(value, value) for value in range(256)))


_INVERSE = byte_table({t: 3 * (t // 3) + 2 - t % 3 for t in range(N_TURNS)})
_MIRROR_FACE = {Face.R: Face.L, Face.L: Face.R}
_MIRROR = byte_table(
    {make_turn(f, q): make_turn(_MIRROR_FACE.get(f, f), 4 - q) for f, q in product(Face, (1, 2, 3))}
)


def inverse(turns: Turns) -> Turns:
    """The turns that undo ``turns``."""
    return Turns(turns[::-1].translate(_INVERSE))


def mirror(turns: Turns) -> Turns:
    """``turns`` as seen in a mirror that swaps left and right."""
    return Turns(turns.translate(_MIRROR))


def renamed(turns: Turns, table: Table) -> Turns:
    """``turns`` as ``table`` names them."""
    return Turns(turns.translate(table))


class Hold(tuple[Face, ...]):
    """One of the 24 ways to hold the cube: which face lies at the solver's U, R, F, D, L, B."""

    __slots__ = ()

    def __repr__(self) -> str:
        """As it is written in code: ``Hold((Face.U, ...))``."""
        return f"{type(self).__name__}({super().__repr__()})"

    def rotated(self, about: Face, quarter_turns: int) -> "Hold":
        """The hold after the whole cube turns as ``about`` does (``x`` is R, ``y`` U, ``z`` F)."""
        faces = list(self)
        for position in Face:
            moved = turn_axis(about.normal, position.normal, quarter_turns)
            faces[FACE_BY_NORMAL[moved]] = self[position]
        return Hold(faces)

    @property
    def solver_table(self) -> Table:
        """Table from turns of the fixed frame to turns as the solver names them."""
        return byte_table({self.turn_table[turn]: turn for turn in range(N_TURNS)})

    @property
    def turn_table(self) -> Table:
        """Table from turns as the solver names them to turns of the fixed frame."""
        return byte_table(
            {make_turn(p, q): make_turn(self[p], q) for p, q in product(Face, (1, 2, 3))}
        )


def _all_holds() -> tuple[Hold, ...]:
    holds = [Hold(Face)]
    for hold in holds:
        for about in (Face.R, Face.U, Face.F):
            after = hold.rotated(about, 1)
            if after not in holds:
                holds.append(after)
    return tuple(holds)


HOLDS = _all_holds()
HOME_HOLD = HOLDS[0]


def hold_with_up(face: Face) -> Hold:
    """The engine's reference hold with ``face`` up, from which angles are counted.

    White or yellow up: green front. Green up: yellow front. Blue up: white front. Red or orange
    up: green front.
    """
    about, quarter_turns = {
        Face.U: (Face.U, 0),
        Face.D: (Face.F, 2),
        Face.F: (Face.R, 1),
        Face.B: (Face.R, 3),
        Face.R: (Face.F, 3),
        Face.L: (Face.F, 1),
    }[face]
    return HOME_HOLD.rotated(about, quarter_turns)
