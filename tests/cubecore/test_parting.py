"""Cases side by side, beside what the tests' own cube shows of them."""

from itertools import product

import pytest

from cubecore.cases import CASES, CaseId, Stage
from cubecore.holds import VISIBLE
from cubecore.parting import parting
from tests.cubecore import twin

SIDES = ("F1", "F2", "F3", "R1", "R2", "R3")
TOP = [f"U{n}" for n in range(1, 10)]
PLLS = [case for case in CASES if case.stage is Stage.PLL]
OLLS = [case for case in CASES if case.stage is Stage.OLL]
NAMES = dict(zip(VISIBLE, SIDES, strict=True))


def seen(case: CaseId, angle: int, auf: int = 0) -> dict[str, str]:
    """The 15 stickers in sight of the layer, after an AUF before the case is set up."""
    undone = twin.inverse(CASES[case].algorithms[0])
    colours = twin.after(twin.SOLVED, "U " * auf)
    colours = twin.after(twin.renamed(twin.after(colours, undone)), "U' " * angle)
    shown = dict(zip(twin.NAMES, colours, strict=True))
    if case.stage is Stage.OLL:
        shown = {name: "U" if colour == "U" else "-" for name, colour in shown.items()}
    return {name: shown[name] for name in (*TOP, *SIDES)}


def differing(one: dict[str, str], other: dict[str, str]) -> set[str]:
    return {name for name in one if one[name] != other[name]}


@pytest.mark.parametrize("shown", [*PLLS, *OLLS[17:19], *OLLS[20:28]], ids=str)
def test_no_hold_of_the_other_is_more_alike(shown):
    others = PLLS if shown.stage is Stage.PLL else OLLS
    for angle, other in product(range(CASES[shown].n_angles), others):
        if other == shown:
            continue
        here = seen(shown, angle)
        alike = parting(shown, angle, other)
        aufs = range(4) if shown.stage is Stage.PLL else range(1)
        views = [seen(other, turned, auf) for turned, auf in product(range(4), aufs)]
        same_top = [view for view in views if not differing(here, view) & set(TOP)]
        least = min(len(differing(here, view)) for view in same_top or views)

        assert alike.n_differences == least > 0
        assert (alike.n_top == 0) == bool(same_top)
        parted = {NAMES[sticker] for sticker in alike.stickers}
        at_angle = [seen(other, alike.angle, auf) for auf in aufs]
        assert parted in [differing(here, view) & set(SIDES) for view in at_angle]


def test_a_sune_and_an_antisune_share_the_fish():
    """Both have one corner up and a cross (common practice, no source)."""
    alike = parting(CaseId(Stage.OLL, 27), 0, CaseId(Stage.OLL, 26))
    assert alike.n_top == 0
    assert alike.stickers


def test_cases_of_two_stages_are_not_set_side_by_side():
    with pytest.raises(ValueError, match="one stage each"):
        parting(OLLS[0], 0, PLLS[0])
