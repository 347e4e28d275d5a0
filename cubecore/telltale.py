"""Whether a scramble holds an algorithm of a book, so that it gives a case away."""

from collections import Counter
from itertools import chain, groupby

from cubecore.book import Book
from cubecore.cases import CASES
from cubecore.turns import (
    HOME_HOLD,
    Face,
    Turns,
    each_turn,
    inverse,
    joined,
    layer_turn,
    renamed,
    run_of,
)

_ROTATED = tuple(HOME_HOLD.rotated(Face.U, n).turn_table for n in range(4))


_Trie = dict[Turns, "_Trie"]
_END = Turns(b"end")  # no block of turns


class Telltale:
    """The algorithms of a book as a scramble may not hold them."""

    def __init__(self, book: Book) -> None:
        self._trie: _Trie = {}
        self._rings: set[Turns] = set()
        for algorithm in chain.from_iterable(map(book.algorithms, CASES)):
            for turned in _ROTATED:
                run = renamed(algorithm.normal.form, turned)
                for way in (run, inverse(run)):
                    self._add(_blocks(way))
                    ring = _ring(way)
                    self._rings |= {joined(*ring[n:], *ring[:n]) for n in range(len(ring))}

    def _add(self, blocks: list[Turns]) -> None:
        here = self._trie
        for block in blocks:
            here = here.setdefault(block, {})
        here[_END] = {}

    def tells(self, form: Turns) -> bool:
        """Whether ``form`` holds an algorithm, or is one begun in its middle, AUF aside.

        What the opposite face does beside a turn of the algorithm hides nothing.
        """
        blocks = _blocks(form)
        if any(_follows(self._trie, blocks[n:]) for n in range(len(blocks))):
            return True
        aufs = (layer_turn(Face.U, n) for n in range(4))
        return any(joined(*_ring(joined(form, auf))) in self._rings for auf in aufs)


def _follows(trie: _Trie, blocks: list[Turns]) -> bool:
    """Whether ``blocks`` begin with a run of ``trie``, other turns of the same axis aside."""
    here = [trie]
    for block in blocks:
        parts = [block] if len(block) == 1 else [block, Turns(block[:1]), Turns(block[1:])]
        here = [node[part] for node in here for part in parts if part in node]
        if any(_END in node for node in here):
            return True
    return False


def _blocks(run: Turns) -> list[Turns]:
    """The turns of ``run``, no face twice in a row, parted where the axis changes."""
    by_axis = groupby(each_turn(run), key=lambda turn: turn // 3 % 3)
    return [run_of(*sorted(block)) for _, block in by_axis]


def _ring(run: Turns) -> list[Turns]:
    """The blocks of ``run`` as of a ring: where its end meets its start, turns are added up."""
    blocks = _blocks(run)
    while len(blocks) > 1 and blocks[0][0] // 3 % 3 == blocks[-1][0] // 3 % 3:
        end, begin = blocks.pop(), blocks.pop(0)
        amounts = Counter({turn // 3: turn % 3 + 1 for turn in end})
        amounts.update({turn // 3: turn % 3 + 1 for turn in begin})
        seam = joined(*(layer_turn(Face(face), n) for face, n in sorted(amounts.items())))
        if seam:
            return [seam, *blocks]
    return blocks
