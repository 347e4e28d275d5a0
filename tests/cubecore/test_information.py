"""What each part of the layer gives away, recomputed over every position of the slow cube."""

from collections import Counter, defaultdict
from math import log2

import pytest

from cubecore.cases import Stage
from cubecore.information import information
from tests.cubecore import twin
from tests.cubecore.met import top
from tests.cubecore.test_labels import last_layers, recogniser

FRONT, RIGHT = ("F1", "F2", "F3"), ("R1", "R2", "R3")


def row(stage: Stage, colours: str, names: tuple[str, ...]) -> tuple[str, ...]:
    """What is seen of a row: of an orientation the last layer's colour or not, else all colours."""
    shown = [colours[twin.NUMBER[name]] for name in names]
    return tuple(shown) if stage is Stage.PLL else tuple("U" if c == "U" else "-" for c in shown)


def bits_left(groups: dict[object, Counter[str]]) -> float:
    """The mean entropy of the case within the groups, as Shannon has it."""
    whole = sum(counts.total() for counts in groups.values())
    return sum(
        count / whole * log2(counts.total() / count)
        for counts in groups.values()
        for count in counts.values()
    )


@pytest.mark.parametrize("stage", Stage)
def test_the_bits_and_the_settled_share_are_those_of_counting_all_positions(stage):
    # All last layers are equally likely; of a permutation all that are oriented.
    positions = [c for c in last_layers() if stage is Stage.OLL or twin.is_oriented(c)]
    seen: list[tuple[object, ...]] = [()] * len(positions)
    looks = [
        ("nothing", lambda colours: ()),
        ("top", top),
        ("front row", lambda colours: row(stage, colours, FRONT)),
        ("right row", lambda colours: row(stage, colours, RIGHT)),
    ]
    for (name, look), remainder in zip(looks, information(stage), strict=True):
        seen = [(*before, look(c)) for before, c in zip(seen, positions, strict=True)]
        groups: dict[object, Counter[str]] = defaultdict(Counter)
        for view, colours in zip(seen, positions, strict=True):
            groups[view][recogniser().case(stage.value, colours).number] += 1
        settled = sum(counts.total() for counts in groups.values() if len(counts) == 1)
        assert remainder.seen == name
        assert remainder.bits == pytest.approx(bits_left(groups), abs=1e-12)
        assert remainder.settled_share == pytest.approx(settled / len(positions), abs=1e-12)


@pytest.mark.parametrize("stage", Stage)
def test_all_that_is_in_sight_settles_every_case(stage):
    # Common practice, no source: two sides are enough to tell every case.
    assert information(stage)[-1].bits == pytest.approx(0, abs=1e-12)
    assert information(stage)[-1].settled_share == 1
