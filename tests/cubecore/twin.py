"""A slow cube of the tests' own, with which the engine's answers are compared.

It shares no idea with the engine: 54 facelets in the usual reading order (U1-U9, R, F, D, L, B), turns
typed by hand as cycles of facelets, centres that move with slices and rotations, and cases found
by trying algorithms. A position is a string of 54 colours, named by the face they belong to.
"""

from collections.abc import Iterator
from functools import cache
from itertools import product
from typing import NamedTuple

FACES = "URFDLB"
NAMES = [face + str(n) for face in FACES for n in range(1, 10)]
NUMBER = {name: n for n, name in enumerate(NAMES)}
SOLVED = "".join(face * 9 for face in FACES)

# One clockwise quarter turn each: the facelet at the first place goes to the second, and so on.
CYCLES = {
    "U": "U1 U3 U9 U7, U2 U6 U8 U4, F1 L1 B1 R1, F2 L2 B2 R2, F3 L3 B3 R3",
    "R": "R1 R3 R9 R7, R2 R6 R8 R4, F3 U3 B7 D3, F6 U6 B4 D6, F9 U9 B1 D9",
    "F": "F1 F3 F9 F7, F2 F6 F8 F4, U7 R1 D3 L9, U8 R4 D2 L6, U9 R7 D1 L3",
    "D": "D1 D3 D9 D7, D2 D6 D8 D4, F7 R7 B7 L7, F8 R8 B8 L8, F9 R9 B9 L9",
    "L": "L1 L3 L9 L7, L2 L6 L8 L4, F1 D1 B9 U1, F4 D4 B6 U4, F7 D7 B3 U7",
    "B": "B1 B3 B9 B7, B2 B6 B8 B4, U1 L7 D9 R3, U2 L4 D8 R6, U3 L1 D7 R9",
    "M": "U2 F2 D2 B8, U5 F5 D5 B5, U8 F8 D8 B2",
    "E": "F4 R4 B4 L4, F5 R5 B5 L5, F6 R6 B6 L6",
    "S": "U4 R2 D6 L8, U5 R5 D5 L5, U6 R8 D4 L2",
}
# Everything else as turns made together. Common practice: M turns as L, E as D, S as F.
TOGETHER = {
    "r": "R M'", "l": "L M", "u": "U E'", "d": "D E", "f": "F S", "b": "B S'",
    "x": "R M' L'", "y": "U E' D'", "z": "F S B'",
}  # fmt: skip

Permutation = tuple[int, ...]
IDENTITY: Permutation = tuple(range(54))


def then(first: Permutation, second: Permutation) -> Permutation:
    """Where each facelet is after ``first`` and then ``second``."""
    return tuple(second[place] for place in first)


def _cycles(text: str) -> Permutation:
    moved = list(IDENTITY)
    for cycle in text.split(","):
        places = [NUMBER[name] for name in cycle.split()]
        for place, following in zip(places, places[1:] + places[:1], strict=True):
            moved[place] = following
    return tuple(moved)


@cache
def token_permutation(token: str) -> Permutation:
    """Where each facelet goes when ``token`` (plainly spelled: ``R``, ``r2``, ``M'``) is made."""
    base, amount = token[0], {"": 1, "2": 2, "'": 3}[token[1:]]
    once = _cycles(CYCLES[base]) if base in CYCLES else run(TOGETHER[base])
    moved = IDENTITY
    for _ in range(amount):
        moved = then(moved, once)
    return moved


def run(text: str) -> Permutation:
    """Where each facelet goes when ``text`` (plain tokens, parted by spaces) is made."""
    moved = IDENTITY
    for token in text.split():
        moved = then(moved, token_permutation(token))
    return moved


def moved_colours(colours: str, moved: Permutation) -> str:
    """The position after the facelets of ``colours`` went where ``moved`` says."""
    shown = [""] * 54
    for place, colour in zip(moved, colours, strict=True):
        shown[place] = colour
    return "".join(shown)


def after(colours: str, text: str) -> str:
    """The position ``colours`` after the turns of ``text``."""
    return moved_colours(colours, run(text))


def upright(colours: str) -> str:
    """The position turned as a whole until the U and F centres are up and in front."""
    for tilt, spin in product(("", "x", "x2", "x'", "z", "z'"), ("", "y", "y2", "y'")):
        held = after(colours, f"{tilt} {spin}")
        if held[NUMBER["U5"]] == "U" and held[NUMBER["F5"]] == "F":
            return held
    raise AssertionError(colours)


def renamed(colours: str) -> str:
    """The position with its colours named after the centres as they lie."""
    names = {colours[9 * n + 4]: face for n, face in enumerate(FACES)}
    return "".join(names[colour] for colour in colours)


def inverse(text: str) -> str:
    """The tokens that undo ``text``."""
    undone = {"": "'", "'": "", "2": "2"}
    return " ".join(token[0] + undone[token[1:]] for token in reversed(text.split()))


_MIRRORED = {"R": "L", "L": "R", "r": "l", "l": "r"}


def mirror(text: str) -> str:
    """``text`` as seen in a mirror on the left; M and x look the same there."""
    words = []
    for token in text.split():
        base, amount = token[0], token[1:]
        turned = amount if base in "Mx" else {"": "'", "'": "", "2": "2"}[amount]
        words.append(_MIRRORED.get(base, base) + turned)
    return " ".join(words)


def is_solved(colours: str) -> bool:
    """Whether each face shows one colour, in any hold."""
    return all(len(set(colours[n : n + 9])) == 1 for n in range(0, 54, 9))


BELOW = [
    n for n, name in enumerate(NAMES) if name[0] == "D" or (name[0] != "U" and int(name[1]) > 3)
]
TOP = [n for n, name in enumerate(NAMES) if name[0] == "U"]


def is_f2l_home(colours: str) -> bool:
    """Whether all below the U layer shows the colour of its face's centre, as it is held."""
    return all(colours[n] == colours[n // 9 * 9 + 4] for n in BELOW)


def is_oriented(colours: str) -> bool:
    """Whether the whole upper face shows one colour."""
    return len({colours[n] for n in TOP}) == 1


AUF = ("", "U", "U2", "U'")


def is_permuted(colours: str) -> bool:
    """Whether some turn of the upper layer solves the cube."""
    return any(is_solved(after(colours, auf)) for auf in AUF)


class Case(NamedTuple):
    """A case by stage and number, and the AUF (quarter turns) after which its algorithm fits."""

    number: str
    angle: int


class Recogniser:
    """Finds the case of a position, F2L home and last layer up, by trying algorithms on it.

    Args:
        algorithms: Stage (``oll``, ``pll``) and number of each case, with the algorithm that sets
            its hold.
    """

    def __init__(self, algorithms: dict[tuple[str, str], str]) -> None:
        self.algorithms = algorithms
        self._runs = {case: run(text) for case, text in algorithms.items()}
        self._seen: dict[tuple[str, str], Case] = {}

    def case(self, stage: str, colours: str) -> Case:
        """The case of ``stage`` that ``colours`` shows; number ``skip`` where nothing is to do."""
        view = colours
        if stage == "oll":
            view = "".join("U" if colour == "U" else "-" for colour in colours)
        if (stage, view) not in self._seen:
            self._seen[stage, view] = self._try_all(stage, colours)
        return self._seen[stage, view]

    def _try_all(self, stage: str, colours: str) -> Case:
        is_reached = is_oriented if stage == "oll" else is_permuted
        if is_reached(colours):
            return Case("skip", 0)
        for angle, auf in enumerate(AUF):
            held = after(colours, auf)
            for (of_stage, number), moved in self._runs.items():
                if of_stage == stage:
                    end = upright(moved_colours(held, moved))
                    if is_f2l_home(end) and is_reached(end):
                        return Case(number, angle)
        raise AssertionError(f"no algorithm fits {colours}")


def edge_step(colours: str) -> str:
    """How the last layer's edges face: dot, angle, bar or oriented."""
    up = [colours[NUMBER[name]] == "U" for name in ("U8", "U4", "U2", "U6")]
    if all(up):
        return "oriented"
    if not any(up):
        return "dot"
    return "bar" if up[0] == up[2] else "angle"


# The last layer's corners clockwise from the front left, each with its facelets, and the way round
# the four colours of a solved layer.
CORNERS = ("U7 F1 L3", "U1 L1 B3", "U3 B1 R3", "U9 R1 F3")
EDGES = (("U8", "F2"), ("U4", "L2"), ("U2", "B2"), ("U6", "R2"))


def permutation_step(colours: str) -> str:
    """How the last layer's corners lie to one another: none, adjacent or diagonal to swap."""
    pieces = [frozenset(colours[NUMBER[n]] for n in corner.split()) for corner in CORNERS]
    home = [frozenset(n[0] for n in corner.split()) for corner in CORNERS]
    order = [home.index(piece) for piece in pieces]
    steps = [(order[(n + 1) % 4] - order[n]) % 4 for n in range(4)]
    if steps == [1, 1, 1, 1]:
        return "none"
    return "diagonal" if steps == [3, 3, 3, 3] else "adjacent"


def with_edges_up(colours: str) -> str:
    """The position with each last-layer edge that does not face up flipped where it lies."""
    shown = list(colours)
    for up, side in EDGES:
        if shown[NUMBER[up]] != "U":
            shown[NUMBER[up]], shown[NUMBER[side]] = shown[NUMBER[side]], shown[NUMBER[up]]
    return "".join(shown)


def orbit(colours: str) -> Iterator[str]:
    """The position after each AUF, seen from each side."""
    for spin in ("", "y", "y2", "y'"):
        held = renamed(after(colours, spin))
        for auf in AUF:
            yield after(held, auf)


def all_last_layers(generators: dict[str, str]) -> dict[str, tuple[str, str]]:
    """Every position that ``generators`` lead to from solved, in any order and number.

    Returns:
        For each position the one it was reached from and the name of the generator that was made.
    """
    runs = {name: run(text) for name, text in generators.items()}
    found = {SOLVED: ("", "")}
    queue = [SOLVED]
    for colours in queue:
        for name, moved in runs.items():
            reached = moved_colours(colours, moved)
            if reached not in found:
                found[reached] = (colours, name)
                queue.append(reached)
    return found
