"""Whether a scramble holds an algorithm of a book, so that it gives a case away."""

from collections import Counter
from itertools import chain, groupby

from cubecore.book import Book
from cubecore.cases import CASES
from cubecore.turns import HOME_HOLD, Face, inverse, make_turn

_ROTATED = tuple(HOME_HOLD.rotated(Face.U, n).turn_table for n in range(4))


class Telltale:
    """The algorithms of a book as a scramble may not hold them."""

    def __init__(self, book: Book) -> None:
        self._parts: set[bytes] = set()
        self._rings: set[bytes] = set()
        for algorithm in chain.from_iterable(map(book.algorithms, CASES)):
            for turned in _ROTATED:
                run = algorithm.normal.form.translate(turned)
                for way in (run, inverse(run)):
                    ring = _ring(way)
                    self._parts.add(b"".join(_blocks(way)))
                    self._rings |= {b"".join(ring[n:] + ring[:n]) for n in range(len(ring))}
        self._lengths = sorted(set(map(len, self._parts)))

    def tells(self, form: bytes) -> bool:
        """Whether ``form`` holds an algorithm, or is one begun in its middle, AUF aside."""
        parts = (form[i : i + n] for n in self._lengths for i in range(len(form) - n + 1))
        if any(part in self._parts for part in parts):
            return True
        aufs = (b"", *(bytes((make_turn(Face.U, n),)) for n in (1, 2, 3)))
        return any(b"".join(_ring(form + auf)) in self._rings for auf in aufs)


def _blocks(run: bytes) -> list[bytes]:
    """The turns of ``run``, no face twice in a row, parted where the axis changes."""
    return [bytes(sorted(block)) for _, block in groupby(run, key=lambda turn: turn // 3 % 3)]


def _ring(run: bytes) -> list[bytes]:
    """The blocks of ``run`` as of a ring: where its end meets its start, turns are added up."""
    blocks = _blocks(run)
    while len(blocks) > 1 and blocks[0][0] // 3 % 3 == blocks[-1][0] // 3 % 3:
        end, begin = blocks.pop(), blocks.pop(0)
        amounts = Counter({turn // 3: turn % 3 + 1 for turn in end})
        amounts.update({turn // 3: turn % 3 + 1 for turn in begin})
        met = bytes(3 * face + n % 4 - 1 for face, n in sorted(amounts.items()) if n % 4)
        if met:
            return [met, *blocks]
    return blocks
