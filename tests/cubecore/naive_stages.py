"""Stages of a solve found the slow way: every turn on the tests' own cube, every sticker looked at."""

from dataclasses import dataclass
from functools import cache

from tests.cubecore import twin

# How to hold the cube for each cross colour to lie below.
UPSIDE = {"D": "", "U": "x2", "F": "x'", "B": "x", "R": "z", "L": "z'"}
CROSS = ("D2 F8", "D4 L8", "D6 R8", "D8 B8")
# Each slot by its stickers below the last layer: the corner, then the edge.
SLOTS = ("D1 F7 L9 F4 L6", "D3 F9 R7 F6 R4", "D9 R9 B7 R6 B4", "D7 L7 B9 L4 B6")


@cache
def _rotation(face: str) -> twin.Permutation:
    return twin.run(UPSIDE[face])


def held_for(colours: str, face: str) -> str:
    """The position, turned so that the colour ``face`` lies below."""
    return twin.moved_colours(colours, _rotation(face))


def _are_home(colours: str, names: str) -> bool:
    return all(colours[twin.NUMBER[n]] == colours[twin.NUMBER[n[0] + "5"]] for n in names.split())


def is_cross_home(colours: str) -> bool:
    return all(_are_home(colours, names) for names in CROSS)


def n_pairs(colours: str) -> int:
    """How many slots are home, the cross standing."""
    return sum(_are_home(colours, names) for names in SLOTS) if is_cross_home(colours) else 0


@dataclass(frozen=True)
class NaiveStages:
    """The stages of one cross colour, each as how many turns had been made; None if never."""

    cross: str
    cross_turn: int
    pair_turns: tuple[int, ...]
    f2l_turn: int
    oriented_turn: int | None
    permuted_turn: int | None


def _first(flags: list[bool], begin: int = 0) -> int | None:
    return next((n for n in range(begin, len(flags)) if flags[n]), None)


def find_stages(positions: list[str]) -> NaiveStages | None:
    """The stages of the cross colour that was worked on, or None when no F2L comes home.

    That is the colour whose F2L is home first. Where the whole cube is then solved up to AUF, all
    colours whose F2L is home by the end are asked, and one that had three pairs before is taken, then
    the one whose cross, whose F2L, whose pairs came first.
    """
    found = []
    for face in UPSIDE:
        held = [held_for(colours, face) for colours in positions]
        f2l_turn = _first([n_pairs(colours) == 4 for colours in held])
        if f2l_turn is not None:
            pairs = tuple(
                turn
                for k in (1, 2, 3, 4)
                if (turn := _first([n_pairs(colours) >= k for colours in held])) is not None
            )
            cross_turn = _first([is_cross_home(colours) for colours in held])
            assert cross_turn is not None
            has_few = sum(turn < f2l_turn for turn in pairs) < 3
            found.append((has_few, cross_turn, f2l_turn, pairs, face, held))
    if not found:
        return None
    first = min(f2l_turn for _, _, f2l_turn, _, _, _ in found)
    asked = [entry for entry in found if entry[2] == first]
    if first and any(twin.is_permuted(held[first]) for *_, held in asked):
        asked = found
    _, cross_turn, f2l_turn, pairs, face, held = min(asked, key=lambda entry: entry[:4])
    is_home = [n_pairs(colours) == 4 for colours in held]
    up = [home and twin.is_oriented(colours) for home, colours in zip(is_home, held, strict=True)]
    oriented = _first(up, f2l_turn)
    permuted = None
    if oriented is not None:
        done = [
            home and twin.is_permuted(colours) for home, colours in zip(is_home, held, strict=True)
        ]
        permuted = _first(done, oriented)
    return NaiveStages(face, cross_turn, pairs, f2l_turn, oriented, permuted)
