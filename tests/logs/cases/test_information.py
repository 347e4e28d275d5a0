"""Shapes on top counted anew over the positions of the slow cube."""

from collections import defaultdict

from cubecore.cases import Stage
from logs.cases.report import information_report
from tests.cubecore import twin
from tests.cubecore.met import VISIBLE, all_met, is_up_colour, top


def shapes() -> dict[frozenset[tuple[bool, ...]], set[str]]:
    """OLL numbers by the shape on top, all of its turns together."""
    holders: dict[frozenset[tuple[bool, ...]], set[str]] = defaultdict(set)
    for (number, _), colours in all_met(Stage.OLL).items():
        turned = frozenset(top(twin.after(colours, auf)) for auf in ("", "U", "U2", "U'"))
        holders[turned].add(number)
    return holders


def test_shapes_are_counted_as_the_slow_cube_counts_them():
    oll, pll = information_report()
    found = shapes()
    assert (oll.n_shapes, oll.n_single) == (len(found), sum(len(c) == 1 for c in found.values()))
    named = {frozenset(title.split()[1] for title in shape.cases) for shape in oll.shared}
    assert named == {frozenset(cases) for cases in found.values() if len(cases) > 1}
    assert pll.shared == ()


def n_needed(colours: str, rivals: list[str]) -> int:
    """The fewest side stickers in sight that no rival shows alike, tried one size at a time."""
    seen = [is_up_colour(colours, name) for name in VISIBLE.values()]
    others = [[is_up_colour(r, name) for name in VISIBLE.values()] for r in rivals]
    for n in range(7):
        for chosen in range(64):
            places = [i for i in range(6) if chosen >> i & 1]
            if len(places) == n and all(any(seen[i] != o[i] for i in places) for o in others):
                return n
    raise AssertionError(colours)


def test_the_stickers_that_settle_a_shape_are_as_few_as_can_be():
    oll, _ = information_report()
    met = all_met(Stage.OLL)
    for shape in oll.shared:
        numbers = {title.split()[1] for title in shape.cases}
        needed = [
            n_needed(
                colours,
                [
                    other
                    for key, other in met.items()
                    if key != (number, angle) and top(other) == top(colours)
                ],
            )
            for (number, angle), colours in met.items()
            if number in numbers
        ]
        assert shape.n_stickers == max(needed)
