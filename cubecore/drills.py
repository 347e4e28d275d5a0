"""Drills: scrambles that leave the first two layers home and lead to a chosen case.

A drill's last layer is drawn first: for an OLL every last layer that shows the case is equally
likely, for a PLL every angle and AUF of it. Then a way there is drawn from the excursions that are
known. A way must not tell the case beforehand: it holds no algorithm of the book, neither forwards
nor backwards nor begun in its middle, it turns three faces at least, and F2L is home only at its
end. Kept practical: no way is longer than ``MAX_HTM``; most are no longer than 15 (measured over
every last layer by ``tests/bench/test_drills.py``).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from random import Random

from cubecore.book import Book
from cubecore.cases import Case, CaseId, LastLayerKey, Stage, case_at_angle, label_key
from cubecore.cube import TURN_TABLES
from cubecore.excursions import JOINED_HTM, key_after
from cubecore.notation import format_turns
from cubecore.telltale import Telltale
from cubecore.turns import HOME_HOLD, Face, Turns, hold_with_up, joined, layer_turn, renamed
from cubecore.ways import N_WAYS, kept_ways, searched_ways, stage_of

MAX_HTM = JOINED_HTM + 1
"""No scramble of a drill is longer, in face turns: a way and the AUF that it may take."""
_ROTATED = tuple(HOME_HOLD.rotated(Face.U, n).turn_table for n in range(4))


@dataclass(frozen=True, slots=True)
class Drill:
    """A scramble for practising a case.

    Attributes:
        case: The case it leads to.
        angle: The angle at which the case is met, as `cases.LastLayer` has it.
        scramble: Its text, from the solved cube held white up, green front.
        htm: Its length in face turns.
    """

    case: CaseId
    angle: int
    scramble: str
    htm: int


class DrillMaker:
    """Makes drills whose scrambles give away no algorithm of a book.

    The ways to a last layer are looked up once and kept.
    """

    def __init__(self, book: Book) -> None:
        """Take the book whose algorithms no scramble may hold."""
        self._telltale = Telltale(book)
        self._ways: dict[int, tuple[Turns, ...]] = {}

    def drills(
        self, cases: Sequence[Case], n: int, rng: Random, *, last: Face = Face.D
    ) -> Iterator[Drill]:
        """``n`` drills of ``cases``, dealt evenly and in random order.

        Args:
            cases: One case, or several to tell apart.
            n: How many drills.
            rng: Where chance comes from; the same seed gives the same drills.
            last: The face of the last layer; yellow unless said otherwise.
        """
        dealt = [cases[i % len(cases)] for i in range(n)]
        rng.shuffle(dealt)
        for case in dealt:
            yield self.drill(case, rng, last=last)

    def drill(self, case: Case, rng: Random, *, last: Face = Face.D) -> Drill:
        """One drill of ``case``."""
        key = draw_last_layer(case, rng)
        turns = self.way(key, rng)
        shown = label_key(key)
        angle = shown.oll_angle if case.id.stage is Stage.OLL else shown.pll_angle
        assert angle is not None
        text = format_turns(renamed(turns, hold_with_up(last).turn_table))
        return Drill(case.id, angle, text, len(turns))

    def way(self, key: LastLayerKey, rng: Random) -> Turns:
        """Turns from the solved cube to the last layer ``key``, last layer up."""
        run = rng.choice(self.ways(key))
        fitting = [way for turned in _ROTATED for way in _lined_up(renamed(run, turned), key)]
        return rng.choice(sorted(set(fitting)))

    def ways(self, key: LastLayerKey) -> tuple[Turns, ...]:
        """The ways to the last layer ``key``, AUF and hold aside, at least ``N_WAYS`` of its stage.

        They do not hang on what was drawn before.
        """
        position = label_key(key).position
        if position not in self._ways:
            enough = N_WAYS[stage_of(key)]
            ways = [way for way in kept_ways(position) if not self._telltale.tells(way)]
            if len(ways) < enough:  # a book that bans most of them
                ways = searched_ways(key, self._telltale, enough)
            self._ways[position] = tuple(ways)
        return self._ways[position]


def draw_last_layer(case: Case, rng: Random) -> LastLayerKey:
    """A last layer that shows ``case``, each of them equally likely."""
    key = case_at_angle(case, rng.randrange(4))
    if case.id.stage is Stage.PLL:
        first = rng.randrange(4)  # an AUF before, as seen from another hold
        order = [*range(first, 4), *range(first)]
        return _dealt(key, order, order)
    edges, corners = list(range(4)), list(range(4))
    rng.shuffle(edges)
    rng.shuffle(corners)
    if _is_odd(edges) != _is_odd(corners):  # no turns swap two pieces alone
        corners[0], corners[1] = corners[1], corners[0]
    return _dealt(key, edges, corners)


def _dealt(key: LastLayerKey, edges: Sequence[int], corners: Sequence[int]) -> LastLayerKey:
    """``key`` with other pieces lying in its places, each as it lay there."""
    return LastLayerKey(bytes(key[i] for i in (*edges, *(4 + corner for corner in corners))))


def _is_odd(order: Sequence[int]) -> bool:
    return sum(a > b for i, a in enumerate(order) for b in order[i + 1 :]) % 2 == 1


def _lined_up(run: Turns, key: LastLayerKey) -> Iterator[Turns]:
    """``run`` with at most one AUF, before or after it, where that leads to ``key``."""
    reached = key_after(run)
    if reached == key:
        yield run
    for amount in (1, 2, 3):
        auf = layer_turn(Face.U, amount)
        if reached.translate(TURN_TABLES[auf[0]]) == key:
            yield joined(run, auf)
        if key_after(joined(auf, run)) == key:
            yield joined(auf, run)
