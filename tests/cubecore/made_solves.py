"""Whole solves by many methods, put together backwards: the scramble is what the turns undo.

The last layer of a layered solve is solved look by look on the tests' own cube, by trying the AUFs:
nothing here is the engine's. All methods are common practice, no source.
"""

import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import product

from cubecore.cases import CASES
from cubecore.rows import Row
from tests.cubecore import twin
from tests.cubecore.plain_reading import (
    are_corners_placed,
    are_edges_placed,
    are_edges_up,
)
from tests.cubecore.solves import TURNS, felt

EDGES, SUNE = "F R U R' U' F'", "R U R' U R U2 R'"
A_PERM, U_PERM = "x R' U R' D2 R U' R' D2 R2 x'", "R U' R U R U R U' R' U' R2"
H_PERM = "M2 U M2 U2 M2 U M2"
T_PERM, Y_PERM = (
    "R U R' U' R' F R2 U' R' U' R U R' F'",
    "F R U' R' U' R U R' F' R U R' U' R' F R F'",
)
OLLS = [text for case in CASES.values() if case.id.stage == "oll" for text in case.algorithms]
PLLS = [text for case in CASES.values() if case.id.stage == "pll" for text in case.algorithms]
INSERTS = ("R U R'", "R U' R'", "R U2 R'", "R' F R F'")
HOLDS = ("", "x", "x2", "x'", "z", "z'")

Goal = Callable[[str], bool]


@dataclass(frozen=True)
class MadeSolve:
    """Parts that are done one after another, each after a pause; tokens as a hand makes them."""

    method: str
    parts: tuple[str, ...]

    @property
    def tokens(self) -> list[str]:
        return " ".join(self.parts).split()


def shortest(state: str, algorithms: Iterable[str], goal: Goal, keeps: Goal) -> list[str]:
    """The fewest looks by ``algorithms``, any AUF before each, that reach ``goal`` and keep ``keeps``."""
    moves = [
        (f"{auf} {text}".strip(), twin.run(f"{auf} {text}"))
        for text in algorithms
        for auf in twin.AUF
    ]
    if goal(state):
        return []
    reached = {state}
    level: list[tuple[str, list[str]]] = [(state, [])]
    while level:
        following = []
        for colours, looks in level:
            for text, moved in moves:
                after = twin.upright(twin.moved_colours(colours, moved)) if text else colours
                if after in reached or not keeps(after):
                    continue
                reached.add(after)
                if goal(after):
                    return [*looks, text]
                following.append((after, [*looks, text]))
        level = following
    raise AssertionError("not to be reached")


def always(_: str) -> bool:
    return True


METHODS: dict[str, tuple[tuple[tuple[str, ...], Goal, Goal], ...]] = {
    "one look a stage": (
        (tuple(OLLS), twin.is_oriented, always),
        (tuple(PLLS), twin.is_permuted, twin.is_oriented),
    ),
    "two looks a stage": (
        ((EDGES, "f R U R' U' f'", f"{EDGES} f R U R' U' f'"), are_edges_up, always),
        (tuple(OLLS), twin.is_oriented, are_edges_up),
        ((T_PERM, Y_PERM), are_corners_placed, twin.is_oriented),
        (tuple(PLLS), twin.is_permuted, are_corners_placed),
    ),
    "many looks": (
        ((EDGES,), are_edges_up, always),
        ((SUNE,), twin.is_oriented, are_edges_up),
        ((A_PERM,), are_corners_placed, twin.is_oriented),
        ((U_PERM,), twin.is_permuted, are_corners_placed),
    ),
    "edges before corners": (
        ((EDGES,), are_edges_up, always),
        ((SUNE,), twin.is_oriented, are_edges_up),
        ((U_PERM,), are_edges_placed, twin.is_oriented),
        ((A_PERM, H_PERM), twin.is_permuted, are_edges_placed),
    ),
}


def last_layer(rng: random.Random, method: str) -> tuple[list[str], str]:
    """The looks by which ``method`` solves some last layer, and the AUF after them."""
    state = twin.SOLVED
    for _ in range(4):
        state = twin.upright(twin.after(state, f"{rng.choice(twin.AUF)} {rng.choice(OLLS + PLLS)}"))
    state = twin.after(state, rng.choice(twin.AUF))
    looks = []
    for algorithms, goal, keeps in METHODS[method]:
        for text in shortest(state, algorithms, goal, keeps):
            looks.append(text)
            state = twin.upright(twin.after(state, text))
    return looks, next(auf for auf in twin.AUF if twin.is_solved(twin.after(state, auf)))


def pairs(rng: random.Random) -> list[str]:
    """Four pairs, each into another slot; or fewer, the rest coming home with the cross or in pairs."""
    parts = [f"y {rng.choice(twin.AUF)} {rng.choice(INSERTS)}" for _ in range(4)]
    match rng.randrange(4):
        case 0:
            return parts[1:]  # with the cross: an x-cross
        case 1:
            return [*parts[:2], f"{parts[2]} {parts[3]}"]  # no rest between
        case 2:
            return [*parts[:2], f"y L' {rng.choice(INSERTS)} L"]  # two at once
    return parts


def layered(rng: random.Random, method: str) -> MadeSolve:
    """Cross, pairs and last layer; the colour any, the last slot now and then with the orientation."""
    cross = " ".join(rng.choice(TURNS) for _ in range(rng.randint(5, 8)))
    looks, auf = last_layer(rng, method)
    parts = [f"{rng.choice(HOLDS)} {cross}", *pairs(rng), *looks]
    if rng.random() < 0.15:
        at = len(parts) - len(looks)
        parts[at - 1 : at + 1] = [" ".join(parts[at - 1 : at + 1])]
    return MadeSolve(method, tuple(part for part in (*parts, auf) if part.strip()))


def some_of(rng: random.Random, choices: Iterable[str], least: int, most: int) -> str:
    chosen = list(choices)
    return " ".join(rng.choice(chosen) for _ in range(rng.randint(least, most)))


def amounts(*bases: str) -> list[str]:
    return [base + amount for base, amount in product(bases, ("", "2", "'"))]


def two_blocks(rng: random.Random) -> MadeSolve:
    """Two blocks, the corners, the last six edges."""
    return MadeSolve(
        "two blocks",
        (
            f"{rng.choice(HOLDS)} {some_of(rng, TURNS, 7, 10)}",
            some_of(rng, amounts("U", "R", "r", "M"), 12, 18),
            f"{rng.choice(twin.AUF)} {rng.choice((SUNE, T_PERM, EDGES, Y_PERM, 'R U2 R2 F R F R'))}",
            " ".join(
                rng.choice(("M", "M'", "M2")) + " " + rng.choice(("U", "U'", "U2"))
                for _ in range(rng.randint(4, 7))
            )
            + " "
            + rng.choice(("M", "M'", "M2")),
        ),
    )


def corners_first(rng: random.Random) -> MadeSolve:
    """The corners, then edges by slices about all axes."""
    pieces = ("M' U M U'", "M' U2 M U2", "M U M' U2 M U M'", "E R E' R'", "M2 U M2 U'", "S R S' R'")
    steps = tuple(
        f"{rng.choice(('', 'x', 'y', 'z', 'x2'))} {auf} {rng.choice(pieces)} {twin.inverse(auf)}"
        for auf in rng.choices(twin.AUF, k=rng.randint(5, 9))
    )
    return MadeSolve("corners first", (some_of(rng, TURNS, 10, 16), *steps))


def edges_first(rng: random.Random) -> MadeSolve:
    """The edges, then corners in threes."""
    pieces = ("R U' L' U R' U' L U", "R' D' R U R' D R U'", "R U R' D R U' R' D'")
    steps = []
    for _ in range(rng.randint(6, 9)):
        around = rng.choice(("", "R", "F", "D2"))
        hold, piece = rng.choice(("", "x", "y", "z", "x2")), rng.choice(pieces)
        steps.append(f"{hold} {around} {piece} {twin.inverse(around)}")
    return MadeSolve("edges first", (some_of(rng, TURNS, 10, 16), *steps))


NOT_LAYERED = (two_blocks, corners_first, edges_first)
STYLES = ("typed", "untimed", "quarters", "at once", "tenths", "halves")


def log(made: MadeSolve, rng: random.Random, style: str) -> tuple[list[str], list[int] | None]:
    """The outer turns of a solve as some instrument logs them, and their ends.

    Args:
        made: The solve.
        rng: For the times.
        style: ``typed``, ``untimed``, ``quarters`` (a half turn is two turns 40 ms apart), ``at once``
            (both at one time), ``tenths`` or ``halves`` (of a second).
    """
    starts = {sum(len(part.split()) for part in made.parts[:n]) for n in range(len(made.parts))}
    tokens: list[str] = []
    ends: list[int] = []
    now = wait = 0
    for n, together in enumerate(felt(" ".join(made.tokens))):
        wait += rng.randint(600, 1900) if n in starts else 0
        if not together:
            continue
        now, wait = now + wait + rng.randint(90, 150), 0
        turns = [together]
        if style in ("quarters", "at once") and all(turn.endswith("2") for turn in together):
            turns = [[turn[0] for turn in together]] * 2
        for late, some in zip((0, 40), turns, strict=False):
            now += late if style == "quarters" else 0
            tokens += some
            ends += [now] * len(some)
    if style == "untimed":
        return tokens, None
    step = {"tenths": 100, "halves": 500}.get(style, 1)
    return tokens, [-(-end // step) * step for end in ends]


def logged_row(made: MadeSolve, rng: random.Random, style: str) -> Row:
    """The solve as a row of a log of that style."""
    tokens, ends = log(made, rng, style)
    return Row(
        scramble=twin.inverse(" ".join(tokens)),
        time_ms=(ends[-1] if ends else 9_000) + 20,
        solution=" ".join(tokens),
        turn_ms=None if ends is None else tuple(ends),
    )


def is_mixed(made: MadeSolve) -> bool:
    """Whether its scramble mixes anything."""
    return not twin.is_solved(twin.after(twin.SOLVED, " ".join(made.tokens)))
