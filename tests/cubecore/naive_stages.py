"""Stages of a solve found the slow way: every turn on the tests' own cube, every sticker looked at."""

from dataclasses import dataclass, replace
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
    """The stages of one cross colour, each as how many turns had been made; None if never.

    Attributes:
        cross: The colour.
        is_built: Whether it was built: its F2L home from the start, or with the cross and two pairs
            standing at some moment before the turn that brought it home, three where that solves
            all; not three of them home by the turn that brought the cross, nor two where all
            is solved at once; nor all corners by the second pair, nor all edges before the third.
        cross_turn: When its cross was home.
        pair_turns: When so many pairs were.
        f2l_turn: When all of them were.
        oriented_turn: When the last layer was oriented, from there on.
        permuted_turn: When it was solved up to AUF, from there on.
    """

    cross: str
    is_built: bool
    cross_turn: int
    pair_turns: tuple[int, ...]
    f2l_turn: int
    oriented_turn: int | None
    permuted_turn: int | None


def _first(flags: list[bool], begin: int = 0) -> int | None:
    return next((n for n in range(begin, len(flags)) if flags[n]), None)


def find_stages(positions: list[str]) -> NaiveStages | None:
    """The stages of the cross colour that was built, or None when no F2L comes home.

    Of several the one that is home first. But where all is solved at once then, as it is one turn
    before the end of any solve, the one that had more pairs standing before, then the one whose
    cross, whose F2L, whose pairs came first.
    """
    faces = sorted(UPSIDE, key="URFDLB".index)  # which of two that tie in all of it is open
    colours = [stages for face in faces if (stages := _stages_of(positions, face)) is not None]
    built = [stages for stages in colours if stages.is_built] or colours
    if not built:
        return None
    first = min(built, key=lambda stages: stages.f2l_turn)
    if first.f2l_turn == 0 or first.permuted_turn != first.f2l_turn:
        return _unless_of_one_kind(positions, first)

    def rank(stages: NaiveStages) -> tuple[object, ...]:
        n_before = sum(turn < stages.f2l_turn for turn in stages.pair_turns)
        return -n_before, stages.cross_turn, stages.f2l_turn, stages.pair_turns

    return _unless_of_one_kind(positions, min(built, key=rank))


def _unless_of_one_kind(positions: list[str], stages: NaiveStages) -> NaiveStages:
    """The stages, not built where edges or corners were all home before the pairs."""
    if stages.f2l_turn and is_of_one_kind(positions, *stages.pair_turns[1:3]):
        return replace(stages, is_built=False)
    return stages


EDGES = " ".join(name for name in twin.NAMES if name[1] in "2468")
CORNERS = " ".join(name for name in twin.NAMES if name[1] in "1379")


def is_of_one_kind(positions: list[str], second: int, third: int) -> bool:
    """Whether all corners were home by the second pair, or all edges by the second or before the third.

    Args:
        positions: Every position; empty where nobody saw it.
        second: The turn of the second pair.
        third: The turn of the third.
    """
    edges, corners = (
        [n for n, colours in enumerate(positions) if colours and _are_home(colours, kind)]
        for kind in (EDGES, CORNERS)
    )
    return any(n <= second for n in (*edges, *corners)) or any(n < third for n in edges)


def _stages_of(positions: list[str], face: str) -> NaiveStages | None:
    held = [held_for(colours, face) for colours in positions]
    n_standing = [n_pairs(colours) for colours in held]
    f2l_turn = _first([n == 4 for n in n_standing])
    cross_turn = _first([is_cross_home(colours) for colours in held])
    if f2l_turn is None or cross_turn is None:
        return None
    pairs = tuple(
        turn for k in (1, 2, 3, 4) if (turn := _first([n >= k for n in n_standing])) is not None
    )
    is_home = [n == 4 for n in n_standing]
    up = [home and twin.is_oriented(colours) for home, colours in zip(is_home, held, strict=True)]
    oriented = _first(up, f2l_turn)
    permuted = None
    if oriented is not None:
        done = [
            home and twin.is_permuted(colours) for home, colours in zip(is_home, held, strict=True)
        ]
        permuted = _first(done, oriented)
    n_needed = 3 if permuted == f2l_turn else 2
    is_built = f2l_turn == 0 or any(n >= n_needed for n in n_standing[:f2l_turn])
    if f2l_turn and cross_turn > 1 and n_standing[cross_turn] > (1 if n_needed == 3 else 2):
        is_built = False  # cross and pairs by one turn: blocks
    return NaiveStages(face, is_built, cross_turn, pairs, f2l_turn, oriented, permuted)
