"""Runs of turns that leave the first two layers and bring them back: the ways to a last layer.

They are searched for by meeting in the middle: two runs after which every piece of F2L lies in the same
place make one, the first forwards and the second backwards. What a run does to F2L is told by one
sticker of each of its twelve pieces, so a step of the search is one ``translate`` of twelve bytes.
Mirrors and inverses of excursions are excursions too, and so are all four rotations.
"""

from collections.abc import Iterator
from functools import cache
from itertools import combinations
from random import Random
from typing import NewType, cast

from cubecore.caching import typed_cache
from cubecore.cases import LastLayerKey, label_key, last_layer_key
from cubecore.cube import PIECES, SOLVED, TURN_TABLES, Places, after_turns, walk
from cubecore.turns import (
    HOME_HOLD,
    NO_TURNS,
    Face,
    Table,
    Turn,
    Turns,
    face_of,
    inverse,
    joined,
    layer_turn,
    make_turn,
    mirror,
    quarter_turns_of,
    renamed,
    run_of,
)

# Faces searched, and the longest excursion looked for, in face turns. Other sets of faces are
# rotations and mirrors of these. Chosen by measurement: together they take some seconds, and
# lead to all but 191 of the 3,916 last layers.
SEARCHES: tuple[tuple[tuple[Face, ...], int], ...] = (
    (tuple(Face), 10),
    ((Face.U, Face.R, Face.F, Face.L), 13),
    ((Face.U, Face.R, Face.F), 15),
    ((Face.U, Face.R, Face.L), 15),
    ((Face.U, Face.R, Face.D), 15),
)
JOINED_HTM = 20
"""How long two joined excursions may be."""
_SHORTEST = 6  # turns of the shortest excursion there is
_ROTATED = tuple(HOME_HOLD.rotated(Face.U, n).turn_table for n in range(4))
_PiecePlaces = NewType("_PiecePlaces", bytes)  # where one sticker of each piece of F2L lies
_F2L_HOME = _PiecePlaces(
    bytes(stickers[0] for faces, stickers in PIECES.items() if Face.U not in faces)
)
_Ways = dict[bytes, list[Turns]]


def excursions(position: int) -> tuple[Turns, ...]:
    """Turns that lead from the solved cube to the last layer numbered so, AUF and hold aside.

    The last layer is up. The first call takes some seconds.
    """
    return tuple(_all_excursions().get(position, ()))


def key_after(turns: Turns) -> LastLayerKey:
    """The last layer, up, that ``turns`` lead to from the solved cube."""
    return last_layer_key(after_turns(SOLVED, turns), Face.U)


def is_f2l_home(places: Places) -> bool:
    """Whether the first two layers of a position with the last layer up are home."""
    return all(places[sticker] == sticker for sticker in _F2L_HOME)


def returns_on_the_way(turns: Turns) -> bool:
    """Whether F2L, once left, is home before the end of ``turns``, so that a last layer shows."""
    home = [is_f2l_home(places) for places in walk(SOLVED, turns)]
    left = home.index(False) if False in home else len(home)
    back = len(home) - 1 - home[::-1].index(False) if False in home else 0
    return any(home[left:back])


def draw_joined(key: LastLayerKey, rng: Random) -> Iterator[Turns]:
    """Excursions to a last layer made of two, drawn without end, none of more than ``JOINED_HTM``.

    The last turn of the one merges with the first of the other, so that F2L is not home between.
    """
    position = label_key(key).position
    runs = _all_runs()
    while True:
        second = renamed(rng.choice(runs), rng.choice(_ROTATED))
        between = label_key(_before(key, second)).position
        room = JOINED_HTM + 1 - len(second)
        fitting = [run for run in excursions(between) if len(run) <= room]
        if fitting:
            first = rng.choice(fitting)
            for turned in _ROTATED:
                run = _merged(first, second, turned)
                if run and label_key(key_after(run)).position == position:
                    yield run


def _before(key: LastLayerKey, turns: Turns) -> LastLayerKey:
    """The last layer from which ``turns``, an excursion, lead to ``key``."""
    places = after_turns(SOLVED, inverse(turns))
    return LastLayerKey(bytes(places[place] for place in key))


@cache
def _all_runs() -> tuple[Turns, ...]:
    """Every excursion that leaves room for another."""
    most = JOINED_HTM + 1 - _SHORTEST
    by_position = _all_excursions().values()
    return tuple(run for runs in by_position for run in runs if len(run) <= most)


def _merged(first: Turns, second: Turns, turned: Table) -> Turns | None:
    """``first``, turned, and ``second`` as one run; None unless a turn of theirs merges."""
    last, begin = Turn(turned[first[-1]]), Turn(second[0])
    if face_of(last) != face_of(begin):
        return None
    shared = layer_turn(face_of(begin), quarter_turns_of(last) + quarter_turns_of(begin))
    return joined(Turns(first[:-1].translate(turned)), shared, Turns(second[1:]))


@cache
def _all_excursions() -> dict[int, list[Turns]]:
    """Every excursion that is searched for, by the number of the last layer it leads to."""
    runs = {run for faces, htm in SEARCHES for run in _search(faces, htm)}
    runs |= set(map(mirror, runs))
    runs |= set(map(inverse, runs))
    by_position: dict[int, list[Turns]] = {}
    for run in sorted(runs):
        by_position.setdefault(label_key(key_after(run)).position, []).append(run)
    return by_position


def _search(faces: tuple[Face, ...], htm: int) -> Iterator[Turns]:
    """The excursions of at most ``htm`` turns of ``faces`` that begin with no AUF.

    Of an excursion and its inverse one is given where both halves are of one length.
    """
    depth, is_odd = divmod(htm, 2)
    level = [(_F2L_HOME, NO_TURNS)]
    ways: _Ways = {}
    for _ in range(depth):
        longer = [
            (places.translate(TURN_TABLES[turn]), run + bytes((turn,)))
            for places, run in level
            for turn in _turns_after(run, faces)
        ]
        level = cast("list[tuple[_PiecePlaces, Turns]]", longer)
        for places, run in level:
            if places != _F2L_HOME:
                ways.setdefault(places, []).append(run)
    for runs in ways.values():
        for first, second in combinations(runs, 2):
            if first[-1] // 3 % 3 != second[-1] // 3 % 3:
                yield joined(second, inverse(first))
    if is_odd:
        yield from _one_turn_more(level, faces, ways, depth)


def _one_turn_more(
    level: list[tuple[_PiecePlaces, Turns]], faces: tuple[Face, ...], ways: _Ways, depth: int
) -> Iterator[Turns]:
    for places, run in level:
        for turn in _turns_after(run, faces):
            for other in ways.get(places.translate(TURN_TABLES[turn]), ()):
                if len(other) == depth and other[-1] // 3 % 3 != turn // 3 % 3:
                    yield joined(run, run_of(turn), inverse(other))


@typed_cache()
def _turns_of(last: int, faces: tuple[Face, ...]) -> tuple[Turn, ...]:
    """The turns of ``faces`` worth making after one of the face ``last``; -1 at the start."""
    opposite_done = last - 3 if last >= 3 else -1
    skipped = {last, opposite_done} if last >= 0 else {Face.U}
    return tuple(make_turn(face, n) for face in faces if face not in skipped for n in (1, 2, 3))


def _turns_after(run: Turns, faces: tuple[Face, ...]) -> tuple[Turn, ...]:
    return _turns_of(run[-1] // 3 if run else -1, faces)
