"""Cases as they are met, on the tests' own slow cube."""

from functools import cache

from cubecore.cases import CASES, Case, Stage
from tests.cubecore import twin

# What a solver sees of the sides without turning the cube, in the words of the trade.
VISIBLE = {
    "front face's left corner": "F1",
    "front face's edge": "F2",
    "front face's right corner": "F3",
    "right face's left corner": "R1",
    "right face's edge": "R2",
    "right face's right corner": "R3",
}
# The same of the two sides that a solver turns the cube to see, each as it is looked at.
TURNED = {
    "back face's left corner": "B1",
    "back face's edge": "B2",
    "back face's right corner": "B3",
    "left face's left corner": "L1",
    "left face's edge": "L2",
    "left face's right corner": "L3",
}
OPPOSITE = {"F": "B", "B": "F", "R": "L", "L": "R"}


@cache
def met_at(case: Case, angle: int) -> str:
    """The position that ``angle`` turns of the layer bring to the hold of the first algorithm."""
    held = twin.renamed(twin.after(twin.SOLVED, twin.inverse(case.algorithms[0])))
    return twin.after(held, twin.inverse(twin.AUF[angle]))


@cache
def all_met(stage: Stage) -> dict[tuple[str, int], str]:
    """Every case of ``stage`` at every angle, by its number or letters and angle."""
    return {
        (str(case.id.number), angle): met_at(case, angle)
        for case in CASES.values()
        if case.id.stage is stage
        for angle in range(case.n_angles)
    }


def top(colours: str) -> tuple[bool, ...]:
    """Which of the nine stickers of the upper face show its colour."""
    return tuple(colours[place] == "U" for place in twin.TOP)


def is_up_colour(colours: str, name: str) -> bool:
    """Whether the last layer's colour shows at ``name``."""
    return colours[twin.NUMBER[name]] == "U"


def relation(colours: str, one: str, other: str) -> str:
    """How the colours at two places stand to each other, in the words of a cue."""
    first, second = colours[twin.NUMBER[one]], colours[twin.NUMBER[other]]
    if first == second:
        return "match"
    if second == OPPOSITE[first]:
        return "are opposite colours"
    return "are neither the same nor opposite colours"
