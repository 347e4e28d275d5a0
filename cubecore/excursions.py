"""Runs of turns that leave the first two layers and bring them back: the ways to a last layer.

They are found by meeting in the middle: two runs after which every piece of F2L lies in the same
place make one, the first forwards and the second backwards. What a run does to F2L is told by one
sticker of each of its twelve pieces, so a step of the search is one ``translate`` of twelve bytes.
Mirrors and inverses of what is found are excursions too, and so are all four rotations.
"""

from collections.abc import Iterator
from functools import cache
from itertools import combinations

from cubecore.cases import LastLayerKey, label_key, last_layer_key
from cubecore.cube import PIECES, SOLVED, TURN_TABLES, after_turns, walk
from cubecore.turns import HOME_HOLD, Face, byte_table, inverse, make_turn, mirror

# Faces searched, and the longest excursion looked for, in face turns. Other sets of faces are
# rotations and mirrors of these. Chosen by measurement: together they take some seconds once, and
# lead to all but 191 of the 3,916 last layers.
SEARCHES: tuple[tuple[tuple[Face, ...], int], ...] = (
    (tuple(Face), 10),
    ((Face.U, Face.R, Face.F, Face.L), 13),
    ((Face.U, Face.R, Face.F), 15),
    ((Face.U, Face.R, Face.L), 15),
    ((Face.U, Face.R, Face.D), 15),
)
JOINED_HTM = (17, 19)
"""How long two joined excursions may be: the second where the first finds few."""
_SHORTEST = 6  # turns of the shortest excursion there is
_ROTATED = tuple(HOME_HOLD.rotated(Face.U, n).turn_table for n in range(4))
_F2L_HOME = bytes(stickers[0] for faces, stickers in PIECES.items() if Face.U not in faces)
_Ways = dict[bytes, list[bytes]]


def excursions(position: int) -> tuple[bytes, ...]:
    """Turns that lead from the solved cube to the last layer numbered so, AUF and hold aside.

    The last layer is up. The first call takes some seconds.
    """
    return tuple(_all_excursions().get(position, ()))


def key_after(turns: bytes) -> LastLayerKey:
    """The last layer, up, that ``turns`` lead to from the solved cube."""
    return last_layer_key(after_turns(SOLVED, turns), Face.U)


def is_f2l_home(places: bytes) -> bool:
    """Whether the first two layers of a position with the last layer up are home."""
    return all(places[sticker] == sticker for sticker in _F2L_HOME)


def returns_on_the_way(turns: bytes) -> bool:
    """Whether F2L, once left, is home before the end of ``turns``, so that a last layer shows."""
    home = [is_f2l_home(places) for places in walk(SOLVED, turns)]
    left = home.index(False) if False in home else len(home)
    back = len(home) - 1 - home[::-1].index(False) if False in home else 0
    return any(home[left:back])


def joined_excursions(key: LastLayerKey) -> Iterator[bytes]:
    """Excursions to a last layer made of two, the last turn of one merging with the next's first.

    F2L is not home between the two, as they share a turn. The shorter come first.
    """
    done: set[bytes] = set()
    for most in JOINED_HTM:
        found = {run for run in _all_joined(key, most) if len(run) <= most} - done
        yield from sorted(found, key=lambda run: (len(run), run))
        done |= found


def _all_joined(key: LastLayerKey, most: int) -> Iterator[bytes]:
    position = label_key(key).position
    for htm in range(_SHORTEST, most // 2 + 2):
        for second, undone in _ends(htm):
            between = label_key(key.translate(undone)).position
            for first in excursions(between):
                if len(first) + htm <= most + 2:
                    for turned in _ROTATED:
                        joined = _merged(first, second, turned)
                        if joined and label_key(key_after(joined)).position == position:
                            yield joined


def _of_length(htm: int) -> Iterator[bytes]:
    return (run for runs in _all_excursions().values() for run in runs if len(run) == htm)


@cache
def _ends(htm: int) -> tuple[tuple[bytes, bytes], ...]:
    """The excursions of ``htm`` turns in all rotations, each with the table that undoes it."""
    ends = {run.translate(turned) for run in _of_length(htm) for turned in _ROTATED}
    return tuple(
        (run, byte_table(dict(enumerate(after_turns(SOLVED, inverse(run))))))
        for run in sorted(ends)
    )


def _merged(first: bytes, second: bytes, turned: bytes) -> bytes | None:
    """``first``, turned, and ``second`` as one run; None unless a turn of theirs merges."""
    last, begin = turned[first[-1]], second[0]
    if last // 3 != begin // 3:
        return None
    amount = (last % 3 + begin % 3 + 2) % 4
    shared = bytes((make_turn(Face(begin // 3), amount),)) if amount else b""
    return first[:-1].translate(turned) + shared + second[1:]


@cache
def _all_excursions() -> dict[int, list[bytes]]:
    """Every excursion found, by the number of the last layer it leads to."""
    found = {run for faces, htm in SEARCHES for run in _search(faces, htm)}
    found |= set(map(mirror, found))
    found |= set(map(inverse, found))
    by_position: dict[int, list[bytes]] = {}
    for run in sorted(found):
        by_position.setdefault(label_key(key_after(run)).position, []).append(run)
    return by_position


def _search(faces: tuple[Face, ...], htm: int) -> Iterator[bytes]:
    """The excursions of at most ``htm`` turns of ``faces`` that begin with no AUF.

    Of an excursion and its inverse one is given where both halves are of one length.
    """
    depth, is_odd = divmod(htm, 2)
    level = [(_F2L_HOME, b"")]
    ways: _Ways = {}
    for _ in range(depth):
        level = [
            (places.translate(TURN_TABLES[turn]), run + bytes((turn,)))
            for places, run in level
            for turn in _turns_after(run, faces)
        ]
        for places, run in level:
            if places != _F2L_HOME:
                ways.setdefault(places, []).append(run)
    for runs in ways.values():
        for one, other in combinations(runs, 2):
            if one[-1] // 3 % 3 != other[-1] // 3 % 3:
                yield other + inverse(one)
    if is_odd:
        yield from _one_turn_more(level, faces, ways, depth)


def _one_turn_more(
    level: list[tuple[bytes, bytes]], faces: tuple[Face, ...], ways: _Ways, depth: int
) -> Iterator[bytes]:
    for places, run in level:
        for turn in _turns_after(run, faces):
            for other in ways.get(places.translate(TURN_TABLES[turn]), ()):
                if len(other) == depth and other[-1] // 3 % 3 != turn // 3 % 3:
                    yield run + bytes((turn,)) + inverse(other)


@cache
def _turns_of(last: int, faces: tuple[Face, ...]) -> tuple[int, ...]:
    """The turns of ``faces`` worth making after one of the face ``last``; -1 at the start."""
    opposite_done = last - 3 if last >= 3 else -1
    skipped = {last, opposite_done} if last >= 0 else {Face.U}
    return tuple(3 * face + n for face in faces if face not in skipped for n in range(3))


def _turns_after(run: bytes, faces: tuple[Face, ...]) -> tuple[int, ...]:
    return _turns_of(run[-1] // 3 if run else -1, faces)
