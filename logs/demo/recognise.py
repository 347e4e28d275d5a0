"""What the last layer shows, read from its 21 stickers as a solver reads them: last layer up.

A slow twin of the engine's labels: patterns are found by undoing each algorithm on a solved cube.
"""

from functools import cache

from logs.demo.algorithms import CaseName, Entry, entries, undone
from logs.demo.cube import SOLVED, Mover, State, apply, mover

_TOP = tuple(range(9))
_SIDES = tuple(9 * face + column for face in (2, 1, 5, 4) for column in (0, 1, 2))
_SIDE_CENTRES = (22, 13, 49, 40)
_EDGES = (1, 3, 5, 7)
_CORNERS = (0, 2, 6, 8)
TURNS: tuple[Mover | None, ...] = (None, mover("U"), mover("U2"), mover("U'"))
Pattern = tuple[int, ...]


def turned(state: State, quarters: int) -> State:
    """``state`` after an AUF of that many clockwise quarter turns."""
    turn = TURNS[quarters % 4]
    return state if turn is None else turn(state)


def oriented_pattern(state: State) -> Pattern:
    """Which of the 21 stickers have the upper centre's colour."""
    up = state[4]
    return tuple(int(state[number] == up) for number in _TOP + _SIDES)


def side_pattern(state: State) -> Pattern:
    """The 12 side stickers, each as the side (from the front, to the right) whose colour it has."""
    side = {state[number]: index for index, number in enumerate(_SIDE_CENTRES)}
    return tuple(side.get(state[number], 4) for number in _SIDES)


def _patterns(entry: Entry) -> frozenset[Pattern]:
    """The patterns on which ``entry`` works as it stands, without AUF."""
    if entry.case[0] == "oll":
        return frozenset({oriented_pattern(apply(SOLVED, undone(entry.tokens)))})
    ends = [turned(SOLVED, quarters) for quarters in range(4)]
    return frozenset(side_pattern(apply(end, undone(entry.tokens))) for end in ends)


@cache
def patterns(entry: Entry) -> frozenset[Pattern]:
    """The patterns on which ``entry`` works as it stands, found once."""
    return _patterns(entry)


@cache
def _by_pattern(stage: str) -> dict[Pattern, CaseName]:
    return {
        pattern: case
        for case, group in entries().items()
        if case[0] == stage
        for pattern in patterns(group[0])
    }


def pattern_of(stage: str, state: State) -> Pattern:
    """The stickers that matter in ``stage``."""
    return oriented_pattern(state) if stage == "oll" else side_pattern(state)


def is_oriented(state: State) -> bool:
    """Whether the upper face is of one colour."""
    return all(state[number] == state[4] for number in _TOP)


def is_permuted(state: State) -> bool:
    """Whether the oriented layer is solved up to AUF."""
    return any(
        all(turned(state, q)[number] == state[_SIDE_CENTRES[index // 3]]
            for index, number in enumerate(_SIDES))
        for q in range(4)
    )  # fmt: skip


def shown(stage: str, state: State) -> tuple[CaseName | None, int]:
    """The case that ``state`` shows and the AUF at which it lies as its first algorithm wants it.

    The case is None for a skip.
    """
    if is_oriented(state) if stage == "oll" else is_permuted(state):
        return None, 0
    table = _by_pattern(stage)
    for quarters in range(4):
        case = table.get(pattern_of(stage, turned(state, quarters)))
        if case is not None:
            return case, quarters
    raise ValueError("these stickers are no last layer")


def right_auf(entry: Entry, state: State) -> int:
    """The AUF at which ``entry`` solves the case shown.

    Raises:
        ValueError: It does not solve it from any.
    """
    for quarters in range(4):
        if pattern_of(entry.case[0], turned(state, quarters)) in patterns(entry):
            return quarters
    raise ValueError(f"{entry.text} does not solve what is shown")


def likely_auf(entry: Entry, state: State) -> int:
    """The AUF at which what is shown looks most like the case of ``entry``."""

    def likeness(quarters: int) -> int:
        seen = pattern_of(entry.case[0], turned(state, quarters))
        return max(sum(a == b for a, b in zip(seen, p, strict=True)) for p in patterns(entry))

    return max(range(4), key=likeness)


@cache
def n_angles(case: CaseName) -> int:
    """At how many of the four AUFs the case looks different."""
    entry = entries()[case][0]
    state = apply(SOLVED, undone(entry.tokens))
    for quarters in (1, 2):
        if pattern_of(case[0], turned(state, quarters)) in patterns(entry):
            return quarters
    return 4


def edge_step(state: State) -> str:
    """How many last-layer edges face up, and how they lie."""
    up = [state[number] == state[4] for number in _EDGES]
    if all(up):
        return "oriented"
    if not any(up):
        return "dot"
    return "bar" if up[0] == up[3] else "angle"


def corner_permutation(state: State) -> str:
    """How the corners of an oriented layer lie to one another: none, adjacent or diagonal."""
    sides = [(state[9 * face], state[9 * face + 2]) for face in (2, 1, 5, 4)]
    lights = sum(a == b for a, b in sides)
    return {4: "none", 1: "adjacent", 0: "diagonal"}[lights]


def only_corners(state: State) -> bool:
    """Whether the edges of an oriented layer are home to one another."""
    middles = [state[9 * face + 1] for face in (2, 1, 5, 4)]
    centres = [state[number] for number in _SIDE_CENTRES]
    return any(middles == centres[q:] + centres[:q] for q in range(4))
