"""The demo solver's own cube: 54 stickers as they lie in the solver's hands.

It shares nothing with the engine but the letters of the notation, so that the two can be held
against one another. A state is 54 colours, face by face in the order U R F D L B, each face row by
row as it is looked at; a colour is the number of the face it belongs to when the cube is held white
up, green front. Whole-cube rotations are turns like any other: the centres move with them.
"""

from collections.abc import Callable, Iterable
from functools import cache
from operator import itemgetter
from typing import cast

State = tuple[int, ...]
Mover = Callable[[State], State]
Outer = tuple[int, int]
"""An outer turn: face (by its centre's colour) and clockwise quarter turns, 1 to 3."""
Place = tuple[int, int, int]

FACES = "URFDLB"
COLOURS = ("white", "red", "green", "yellow", "orange", "blue")
SOLVED: State = tuple(face for face in range(6) for _ in range(9))
SUFFIX = {1: "", 2: "2", 3: "'"}

_STEPS = (-1, 0, 1)
_BACK = (1, 0, -1)


def _places() -> list[tuple[Place, Place]]:
    """For each sticker the place of its piece and the way it faces (x right, y up, z front)."""
    up = [((x, 1, z), (0, 1, 0)) for z in _STEPS for x in _STEPS]
    right = [((1, y, z), (1, 0, 0)) for y in _BACK for z in _BACK]
    front = [((x, y, 1), (0, 0, 1)) for y in _BACK for x in _STEPS]
    down = [((x, -1, z), (0, -1, 0)) for z in _BACK for x in _STEPS]
    left = [((-1, y, z), (-1, 0, 0)) for y in _BACK for z in _STEPS]
    back = [((x, y, -1), (0, 0, -1)) for y in _BACK for x in _BACK]
    return up + right + front + down + left + back


PLACES = _places()
_NUMBER = {place: number for number, place in enumerate(PLACES)}

# Each letter: the axis it turns about (as the clockwise turn of which face), which layers along
# that axis move, and in which sense.
_ABOUT = {"R": 0, "U": 1, "F": 2}
_LETTERS: dict[str, tuple[str, tuple[int, ...], int]] = {
    "R": ("R", (1,), 1),
    "L": ("R", (-1,), -1),
    "U": ("U", (1,), 1),
    "D": ("U", (-1,), -1),
    "F": ("F", (1,), 1),
    "B": ("F", (-1,), -1),
    "r": ("R", (0, 1), 1),
    "l": ("R", (-1, 0), -1),
    "u": ("U", (0, 1), 1),
    "d": ("U", (-1, 0), -1),
    "f": ("F", (0, 1), 1),
    "b": ("F", (-1, 0), -1),
    "M": ("R", (0,), -1),
    "E": ("U", (0,), -1),
    "S": ("F", (0,), 1),
    "x": ("R", _STEPS, 1),
    "y": ("U", _STEPS, 1),
    "z": ("F", _STEPS, 1),
}
# What each letter does to the outer layers, the centres kept still: faces (where they lie before
# the turn) and senses. A rotation does nothing.
_OUTER_OF: dict[str, tuple[tuple[str, int], ...]] = {
    **{face: ((face, 1),) for face in FACES},
    **{wide: ((face, 1),) for wide, face in zip("rludfb", "LRDUBF", strict=True)},
    "M": (("R", 1), ("L", -1)),
    "E": (("U", 1), ("D", -1)),
    "S": (("F", -1), ("B", 1)),
    **dict.fromkeys("xyz", ()),
}


def _quarter(axis: str, v: Place) -> Place:
    """``v`` after a clockwise quarter turn, as the face ``axis`` is looked at."""
    x, y, z = v
    return {"R": (x, z, -y), "U": (-z, y, x), "F": (y, -x, z)}[axis]


def split(token: str) -> tuple[str, int]:
    """Letter and clockwise quarter turns (1 to 3) of a token such as ``R'`` or ``U2``."""
    return token[0], {"": 1, "2": 2, "2'": 2, "'": 3, "3": 3}[token[1:]]


def spell(letter: str, quarters: int) -> str:
    """The token of a letter and quarter turns; an empty text when it does nothing."""
    return letter + SUFFIX[quarters % 4] if quarters % 4 else ""


@cache
def mover(token: str) -> Mover:
    """The function from state to state that ``token`` is."""
    letter, quarters = split(token)
    axis, layers, sense = _LETTERS[letter]
    source = list(range(54))
    for number, (place, way) in enumerate(PLACES):
        if place[_ABOUT[axis]] not in layers:
            continue
        moved = place, way
        for _ in range(quarters * sense % 4):
            moved = _quarter(axis, moved[0]), _quarter(axis, moved[1])
        source[_NUMBER[moved]] = number
    return cast("Mover", itemgetter(*source))


def along(tokens: Iterable[str]) -> Mover:
    """All of ``tokens`` as one function."""
    source: State = tuple(range(54))
    for token in tokens:
        source = mover(token)(source)
    return cast("Mover", itemgetter(*source))


def apply(state: State, tokens: Iterable[str]) -> State:
    """``state`` after ``tokens``."""
    for token in tokens:
        state = mover(token)(state)
    return state


def centre(state: State, face: str) -> int:
    """The colour of the centre that lies at ``face``."""
    return state[9 * FACES.index(face) + 4]


def outer_turns(state: State, token: str) -> tuple[Outer, ...]:
    """What ``token``, made in ``state``, turns: faces by colour, so the hold does not matter."""
    letter, quarters = split(token)
    return tuple((centre(state, face), sense * quarters % 4) for face, sense in _OUTER_OF[letter])


def fixed_token(turn: Outer) -> str:
    """``turn`` as a cube held white up, green front would have it written."""
    return spell(FACES[turn[0]], turn[1])


def stickers_at(place: Place) -> list[int]:
    """The numbers of the stickers on the piece at ``place``."""
    return [number for number, (where, _) in enumerate(PLACES) if where == place]
