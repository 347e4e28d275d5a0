"""The cross on the lower face: a table of distances, and turns that walk down it."""

from functools import cache
from random import Random

from logs.demo.cube import FACES, PLACES, SUFFIX, State, centre, mover, stickers_at

_EDGE_STICKERS = [n for n, (place, _) in enumerate(PLACES) if sum(map(abs, place)) == 2]
_MATE = {n: next(m for m in stickers_at(PLACES[n][0]) if m != n) for n in _EDGE_STICKERS}
_SPOT = {sticker: spot for spot, sticker in enumerate(_EDGE_STICKERS)}
TOKENS = tuple(face + suffix for face in FACES for suffix in SUFFIX.values())
_HOME = (28, 32, 34, 30)
"""The lower stickers at the front, the right, the back, the left."""
_PAIRS = 24 * 24
_FAR = 255
_TO_DOWN = {"U": "x2", "R": "z", "F": "x'", "D": "", "L": "z'", "B": "x"}
"""The rotation that brings each face down."""


def _goes(token: str) -> list[int]:
    """For each of the 24 edge stickers' places, where ``token`` takes what lies there."""
    after = mover(token)(tuple(range(54)))
    return [_SPOT[after.index(sticker)] for sticker in _EDGE_STICKERS]


@cache
def _pair_tables() -> list[list[int]]:
    tables = [_goes(token) for token in TOKENS]
    return [[goes[a] * 24 + goes[b] for a in range(24) for b in range(24)] for goes in tables]


@cache
def distances() -> bytearray:
    """Turns to the solved cross from each of the 190,080 crosses, by breadth-first search."""
    front, right, back, left = (_SPOT[sticker] for sticker in _HOME)
    start = (front * 24 + right) * _PAIRS + back * 24 + left
    table = bytearray([_FAR]) * (_PAIRS * _PAIRS)
    table[start] = 0
    edge, depth = [start], 0
    while edge:
        depth += 1
        found = []
        for cross in edge:
            one, two = divmod(cross, _PAIRS)
            for turn in _pair_tables():
                after = turn[one] * _PAIRS + turn[two]
                if table[after] == _FAR:
                    table[after] = depth
                    found.append(after)
        edge = found
    return table


def _cross_of(state: State) -> int:
    """The number of the cross whose colour is down."""
    down = centre(state, "D")
    at = {state[_MATE[n]]: _SPOT[n] for n in _EDGE_STICKERS if state[n] == down}
    front, right, back, left = (at[centre(state, face)] for face in "FRBL")
    return (front * 24 + right) * _PAIRS + back * 24 + left


def cross_distance(state: State) -> int:
    """How many turns the cross of the colour that is down needs."""
    return distances()[_cross_of(state)]


def cross_turns(state: State, rng: Random, sloppiness: float) -> list[str]:
    """Turns that solve the cross of the colour that is down.

    Args:
        state: The cube.
        rng: Chooses among equally good turns.
        sloppiness: Chance, before each turn, of one that brings the cross no nearer; 0 to 1.
    """
    cross = _cross_of(state)
    far, tables = distances(), _pair_tables()
    turns: list[str] = []
    wasted = 0
    while far[cross]:
        left = far[cross]
        one, two = divmod(cross, _PAIRS)
        nearer, level, again = [], [], []
        for token, table in zip(TOKENS, tables, strict=True):
            after = table[one] * _PAIRS + table[two]
            if turns and token[0] == turns[-1][0]:
                again.append((token, after))
            elif far[after] < left:
                nearer.append((token, after))
            elif far[after] == left:
                level.append((token, after))
        # When only the face just turned helps, the wasted turn is corrected.
        nearer = nearer or [way for way in again if far[way[1]] < left]
        waste = bool(level) and wasted < 4 and rng.random() < sloppiness
        wasted += waste
        token, cross = rng.choice(level if waste else nearer)
        turns.append(token)
    return turns


def rotation_down(state: State, colour: int) -> str:
    """The rotation that brings the centre of ``colour`` down; empty for none."""
    return next(_TO_DOWN[face] for face in FACES if centre(state, face) == colour)
