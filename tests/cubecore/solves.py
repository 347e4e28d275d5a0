"""Solves for the property tests: typed as people type them, as a sensor logs them, and held anew.

A solve is put together backwards: whatever turns are written, the scramble is what they undo.
"""

import random
from dataclasses import dataclass
from functools import cache
from itertools import accumulate

from hypothesis import strategies as st

from cubecore.cases import CASES
from cubecore.rows import Row
from tests.cubecore import twin

TURNS = [face + amount for face in twin.FACES for amount in ("", "2", "'")]
# Common practice: triggers that put a pair into the front right or front left slot.
TRIGGERS = ("R U R'", "R U' R'", "L' U' L", "F' U F", "R U2 R' U' R U R'", "r U' r' F", "R' F R F'")
ROTATIONS = ("", "y", "y'", "y2", "z2", "x")
LAST_LAYER = tuple(text for case in CASES.values() for text in case.algorithms)

# For each token the outer turns a sensor feels: the face as it is held, and quarter turns.
# A slice moves its two neighbours the other way; a wide turn the face on the other side.
FELT = {
    "r": [("L", 1)], "l": [("R", 1)], "u": [("D", 1)], "d": [("U", 1)], "f": [("B", 1)],
    "b": [("F", 1)], "x": [], "y": [], "z": [],
    "M": [("R", 1), ("L", 3)], "E": [("U", 1), ("D", 3)], "S": [("F", 3), ("B", 1)],
} | {face: [(face, 1)] for face in twin.FACES}  # fmt: skip
AMOUNTS = {"": 1, "2": 2, "'": 3}
SUFFIXES = ("", "", "2", "'")


def layer_tokens(text: str) -> list[str]:
    """The tokens of ``text`` that move a layer."""
    return [token for token in text.split() if token[0] not in "xyz"]


def felt(text: str, flips: random.Random | None = None) -> list[list[str]]:
    """For each token the turns a sensor feels, named by the colours they turn.

    Args:
        text: Plain tokens.
        flips: Decides for each slice which of its two turns is felt first; None for as typed.
    """
    colours = twin.SOLVED
    all_felt = []
    for token in text.split():
        turns = []
        for face, sense in FELT[token[0]]:
            colour = colours[twin.NUMBER[face + "5"]]
            turns.append(colour + SUFFIXES[sense * AMOUNTS[token[1:]] % 4])
        if flips is not None and flips.random() < 0.5:
            turns.reverse()
        all_felt.append(turns)
        colours = twin.after(colours, token)
    return all_felt


def outer(text: str) -> str:
    """The outer turns of ``text``, named by the colours they turn."""
    return " ".join(turn for turns in felt(text) for turn in turns)


@dataclass(frozen=True)
class TypedSolve:
    """A solve as typed: plain tokens, and the end of each layer turn in ms."""

    solution: str
    turn_ms: tuple[int, ...]

    @property
    def scramble(self) -> str:
        return twin.inverse(outer(self.solution))

    def row(self) -> Row:
        """The solve as a timed row, one time a layer turn."""
        return Row(
            scramble=self.scramble,
            time_ms=max(1, self.turn_ms[-1]),
            solution=self.solution,
            turn_ms=self.turn_ms,
        )

    def sensor_row(self, flips: random.Random) -> Row:
        """The same solve as a sensor logs it; both turns of a slice end at once."""
        turns = []
        times = []
        moved = 0
        for together in felt(self.solution, flips):
            turns += together
            times += [self.turn_ms[min(moved, len(self.turn_ms) - 1)]] * len(together)
            moved += bool(together)
        return self.row()._replace(solution=" ".join(turns), turn_ms=tuple(times))


def written_times(n: int, seed: int) -> tuple[int, ...]:
    """``n`` ends of turns: mostly brisk, with pauses, and two turns at once here and there."""
    rng = random.Random(seed)
    gaps = [
        rng.choice((rng.randint(60, 220), rng.randint(60, 220), rng.randint(250, 1800), 0))
        for _ in range(n)
    ]
    return tuple(accumulate(gaps, initial=rng.randint(1, 900)))[:n]


def typed_solves() -> st.SearchStrategy[TypedSolve]:
    """Solves of a cube that was really mixed."""
    return _typed_solves().filter(
        lambda solve: not twin.is_solved(twin.after(twin.SOLVED, solve.solution))
    )


@st.composite
def _typed_solves(draw: st.DrawFn) -> TypedSolve:
    """Solves of cross, pairs and last layer, with rotations, wides, slices and AUFs anywhere."""
    parts = draw(st.lists(st.sampled_from(TURNS), min_size=1, max_size=8))
    for _ in range(draw(st.integers(0, 5))):
        parts += [draw(st.sampled_from(ROTATIONS[:4])), draw(st.sampled_from(twin.AUF))]
        parts.append(draw(st.sampled_from(TRIGGERS)))
    for _ in range(draw(st.integers(0, 4))):
        parts += [draw(st.sampled_from(ROTATIONS)), draw(st.sampled_from(twin.AUF))]
        parts.append(draw(st.sampled_from(LAST_LAYER)))
    parts.append(draw(st.sampled_from(twin.AUF)))
    solution = " ".join(" ".join(parts).split())
    n = len(layer_tokens(solution))
    return TypedSolve(solution, written_times(n, draw(st.integers(0, 2**32))))


@cache
def _colour_places(rotation: str) -> dict[str, str]:
    """For each colour the face it lies on after the cube was rotated."""
    held = twin.after(twin.SOLVED, rotation)
    return {held[twin.NUMBER[face + "5"]]: face for face in twin.FACES}


HOLDS = [
    f"{tilt} {spin}".strip()
    for tilt in ("", "x", "x2", "x'", "z", "z'")
    for spin in ("", "y", "y2", "y'")
]


def held_anew(text: str, rotation: str) -> str:
    """Outer turns, each renamed as the face that its colour lies on after ``rotation``."""
    places = _colour_places(rotation)
    return " ".join(places[token[0]] + token[1:] for token in text.split())


def place_of(colour: str, rotation: str) -> str:
    """The face that ``colour`` lies on after ``rotation``."""
    return _colour_places(rotation)[colour]
