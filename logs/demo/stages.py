"""What is home in a position, piece by piece, whatever the cross colour: a slow twin of the engine.

Positions are those of a cube that stays white up, green front: the centres never move.
"""

from functools import cache
from operator import itemgetter

from logs.demo.cube import FACES, PLACES, SOLVED, Mover, Place, State, mover, stickers_at

_CENTRES: tuple[Place, ...] = tuple(PLACES[9 * face + 4][0] for face in range(6))
# The hold in which angles count: white or yellow up with green in front, green up with yellow in
# front, blue up with white in front, red or orange up with green in front.
_LAST_UP = {"U": "", "D": "z2", "F": "x", "B": "x'", "R": "z'", "L": "z"}


def _along(face: int, place: Place) -> int:
    return sum(a * b for a, b in zip(_CENTRES[face], place, strict=True))


@cache
def _cross(face: int) -> tuple[int, ...]:
    return tuple(
        n
        for n, (place, _) in enumerate(PLACES)
        if sum(map(abs, place)) == 2 and _along(face, place) == 1
    )


@cache
def _slots(face: int) -> tuple[tuple[int, ...], ...]:
    corners = {
        place for place, _ in PLACES if sum(map(abs, place)) == 3 and _along(face, place) == 1
    }
    slots = []
    for corner in sorted(corners):
        x, y, z = (a - b for a, b in zip(corner, _CENTRES[face], strict=True))
        slots.append((*stickers_at(corner), *stickers_at((x, y, z))))
    return tuple(slots)


def _home(state: State, stickers: tuple[int, ...]) -> bool:
    read = itemgetter(*stickers)
    return bool(read(state) == read(SOLVED))


def is_cross_home(state: State, face: int) -> bool:
    """Whether the four edges of the cross of colour ``face`` are home."""
    return _home(state, _cross(face))


def n_pairs_home(state: State, face: int) -> int:
    """How many slots of that cross are home; 0 while the cross is not."""
    if not is_cross_home(state, face):
        return 0
    return sum(_home(state, slot) for slot in _slots(face))


def is_f2l_home(state: State, face: int) -> bool:
    """Whether the first two layers of that cross are home."""
    return n_pairs_home(state, face) == 4


@cache
def last_layer_up(face: int) -> Mover | None:
    """The rotation, from white up and green front, to the hold in which angles are counted.

    Args:
        face: The cross colour, which that hold has below.
    """
    token = _LAST_UP[FACES[(face + 3) % 6]]
    return mover(token) if token else None
