"""The ways to every last layer, searched for once and shipped: ``tables/ways.bin``.

Searching takes minutes, and nobody who asks for a drill shall wait for it. The table is made anew by
``python -m cubecore.ways > cubecore/tables/ways.bin``, whenever what is searched or the standard
algorithms change; ``tests/bench/test_drills.py`` holds it equal to the search.
"""

import sys
import zlib
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from importlib.resources import files
from itertools import permutations
from random import Random

from cubecore.algorithms import normal_form
from cubecore.book import default_book
from cubecore.cases import CASES, SKIP, LastLayerKey, Stage, label_key, least_key
from cubecore.excursions import draw_joined, excursions, returns_on_the_way
from cubecore.telltale import Telltale
from cubecore.turns import Turns

N_WAYS = {Stage.OLL: 10, Stage.PLL: 120}
"""Where fewer ways lead to a last layer, excursions are joined to make more, so that nobody learns
them by heart. An OLL is shown by 18 last layers or more, AUF and hold aside, a PLL by one."""
_FEWEST = {Stage.OLL: 15, Stage.PLL: 150}
"""So many are shipped at least: a club's own algorithms may take some of them away."""
_MOST = 2
"""Where more lead there, at most so many times as many are shipped."""
_POSITION_BYTES = 4
_WAY_END, _GROUP_END = b"\xff", b"\xfe"  # no turn has these numbers


def kept_ways(position: int) -> list[Turns]:
    """The shipped ways to the last layer numbered so, AUF and hold aside, in their normal form."""
    return [Turns(way) for way in _groups()[position].split(_WAY_END)]


def searched_ways(key: LastLayerKey, telltale: Telltale, enough: int) -> list[Turns]:
    """At least ``enough`` ways to a last layer, searched for: those of one excursion, then of two.

    None tells what leads there. The first call takes some seconds.
    """
    position = label_key(key).position
    ways = {
        form for form in map(_form, excursions(position)) if not tells_beforehand(form, telltale)
    }
    drawn = draw_joined(least_key(key), Random(position))  # noqa: S311 - chance, no secret
    while len(ways) < enough:
        form = _form(next(drawn))
        if not tells_beforehand(form, telltale):
            ways.add(form)
    return sorted(ways)


def tells_beforehand(form: Turns, telltale: Telltale) -> bool:
    """Whether a way gives its end away: by too few faces, on its way, or by an algorithm in it."""
    is_plain = len({turn // 3 for turn in form}) < 3
    return is_plain or returns_on_the_way(form) or telltale.tells(form)


def stage_of(key: LastLayerKey) -> Stage:
    """The stage that a last layer is a drill of."""
    return Stage.PLL if label_key(key).oll == SKIP else Stage.OLL


def every_last_layer() -> Iterator[LastLayerKey]:
    """One of each last layer but the solved one, AUF and hold aside."""
    seen = set()
    for case in CASES.values():
        orders = list(permutations(range(4))) if case.id.stage is Stage.OLL else [(0, 1, 2, 3)]
        for edges in orders:
            for corners in orders:
                if _is_even(edges) != _is_even(corners):
                    continue
                key = LastLayerKey(bytes(case.key[i] for i in (*edges, *(4 + c for c in corners))))
                position = label_key(key).position
                if position not in seen:
                    seen.add(position)
                    yield key


def searched_table() -> bytes:
    """What ``tables/ways.bin`` holds, searched for anew; takes minutes."""
    telltale = Telltale(default_book())
    kept = {}
    for key in every_last_layer():
        position, fewest = label_key(key).position, _FEWEST[stage_of(key)]
        ways = searched_ways(key, telltale, fewest)
        rng = Random(position)  # noqa: S311 - chance, no secret
        kept[position] = sorted(rng.sample(ways, min(len(ways), _MOST * fewest)))
    return pack(kept)


def pack(ways: Mapping[int, Sequence[Turns]]) -> bytes:
    """Ways by position as the bytes of a table."""
    groups = (
        position.to_bytes(_POSITION_BYTES, "big") + _WAY_END.join(ways[position])
        for position in sorted(ways)
    )
    return zlib.compress(_GROUP_END.join(groups), 9)


@cache
def _groups() -> dict[int, bytes]:
    """The shipped ways to each position, still joined."""
    table = zlib.decompress(files("cubecore").joinpath("tables/ways.bin").read_bytes())
    groups = {}
    start = 0
    while start < len(table):
        ways_at = start + _POSITION_BYTES  # the number before may hold any byte
        end = table.find(_GROUP_END, ways_at)
        end = len(table) if end < 0 else end
        groups[int.from_bytes(table[start:ways_at], "big")] = table[ways_at:end]
        start = end + 1
    return groups


def _form(run: Turns) -> Turns:
    return normal_form(run).form


def _is_even(order: Sequence[int]) -> bool:
    return sum(a > b for i, a in enumerate(order) for b in order[i + 1 :]) % 2 == 0


if __name__ == "__main__":
    sys.stdout.buffer.write(searched_table())
