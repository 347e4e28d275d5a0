"""Faces, outer turns and holds as small frozen values.

A run of turns is a ``bytes`` object, one byte a turn: ``3 * face + quarter_turns - 1``. The
centres are the frame, so a run of turns means the same however the cube was held.
"""

from enum import IntEnum
from itertools import product
from typing import NewType

Turn = NewType("Turn", int)
Vector = tuple[int, int, int]


class Face(IntEnum):
    """A face of the cube by its centre, in the order used by every table of the engine."""

    U = 0
    R = 1
    F = 2
    D = 3
    L = 4
    B = 5

    @property
    def opposite(self) -> "Face":
        """The face on the other side."""
        return _OPPOSITES[self]

    @property
    def colour(self) -> str:
        """The centre's colour when scrambled white up, green front (WCA Regulations, Article 4)."""
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
SUFFIXES = ("", "2", "'")
N_TURNS = 18
TURN_NAMES = tuple(face.name + suffix for face in Face for suffix in SUFFIXES)


def make_turn(face: Face, quarter_turns: int) -> Turn:
    """The clockwise turn of ``face`` by 1, 2 or 3 quarter turns."""
    return Turn(3 * face + quarter_turns - 1)


def face_of(turn: int) -> Face:
    """The face that ``turn`` moves."""
    return Face(turn // 3)


def quarter_turns_of(turn: int) -> int:
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


def byte_table(mapping: dict[int, int]) -> bytes:
    """A 256-byte table for ``bytes.translate``; what ``mapping`` leaves out stays as it is."""
    return bytes(mapping.get(value, value) for value in range(256))


_INVERSE = byte_table({t: 3 * (t // 3) + 2 - t % 3 for t in range(N_TURNS)})
_MIRROR_FACE = {Face.R: Face.L, Face.L: Face.R}
_MIRROR = byte_table(
    {make_turn(f, q): make_turn(_MIRROR_FACE.get(f, f), 4 - q) for f, q in product(Face, (1, 2, 3))}
)


def inverse(turns: bytes) -> bytes:
    """The turns that undo ``turns``."""
    return turns[::-1].translate(_INVERSE)


def mirror(turns: bytes) -> bytes:
    """``turns`` as seen in a mirror that swaps left and right."""
    return turns.translate(_MIRROR)


class Hold(tuple[Face, ...]):
    """One of the 24 ways to hold the cube: which face lies at the solver's U, R, F, D, L, B."""

    __slots__ = ()

    def rotated(self, about: Face, quarter_turns: int) -> "Hold":
        """The hold after the whole cube turns as ``about`` does (``x`` is R, ``y`` U, ``z`` F)."""
        faces = list(self)
        for position in Face:
            moved = turn_axis(about.normal, position.normal, quarter_turns)
            faces[FACE_BY_NORMAL[moved]] = self[position]
        return Hold(faces)

    @property
    def turn_table(self) -> bytes:
        """Translation table from turns as the solver names them to turns of the fixed frame."""
        return byte_table(
            {make_turn(p, q): make_turn(self[p], q) for p, q in product(Face, (1, 2, 3))}
        )


def _all_holds() -> tuple[Hold, ...]:
    found = [Hold(Face)]
    for hold in found:
        for about in (Face.R, Face.U, Face.F):
            after = hold.rotated(about, 1)
            if after not in found:
                found.append(after)
    return tuple(found)


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
