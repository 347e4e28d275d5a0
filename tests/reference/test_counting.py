"""How often cases come up, recomputed by Burnside's lemma and by inclusion and exclusion."""

from collections import Counter
from fractions import Fraction
from itertools import permutations, product

import pytest
from mpmath import exp, inf, mp, quad
from sympy.combinatorics import Permutation

from cubecore.cases import CASES, Stage

# A last layer without colours: four edge and four corner slots in a circle. Turning the layer
# moves all of them one slot on.
EDGE_FLIPS = [flips for flips in product(range(2), repeat=4) if sum(flips) % 2 == 0]
CORNER_TWISTS = [twists for twists in product(range(3), repeat=4) if sum(twists) % 3 == 0]
ORIENTATIONS = list(product(EDGE_FLIPS, CORNER_TWISTS))


def turned(things, steps):
    """``things`` of four slots, moved on by ``steps``."""
    return things[-steps:] + things[:-steps] if steps else things


def seen_from(order, before, after):
    """The order of four pieces, renamed by a hold ``before`` steps round and turned ``after`` on."""
    return turned(tuple((piece + before) % 4 for piece in order), after)


def sign(order):
    return Permutation(list(order)).signature()


ALL_ORDERS = list(permutations(range(4)))
PERMUTATIONS = [pair for pair in product(ALL_ORDERS, repeat=2) if sign(pair[0]) == sign(pair[1])]


def test_the_orientations_are_58_classes_by_burnside():
    # Burnside: the number of orbits is the mean number of fixed points over the group.
    fixed = sum(
        turned(edges, steps) == edges and turned(corners, steps) == corners
        for steps in range(4)
        for edges, corners in ORIENTATIONS
    )

    assert Fraction(fixed, 4) == 58
    assert len([case for case in CASES if case.stage is Stage.OLL]) + 1 == 58


def test_the_permutations_are_22_classes_by_burnside():
    fixed = sum(
        seen_from(edges, before, after) == edges and seen_from(corners, before, after) == corners
        for before, after in product(range(4), repeat=2)
        for edges, corners in PERMUTATIONS
    )

    assert len(PERMUTATIONS) == 288
    assert Fraction(fixed, 16) == 22
    assert len([case for case in CASES if case.stage is Stage.PLL]) + 1 == 22


def n_fixed(kind_of_twist, before, after, parity):
    """How many orders with this sign, and twists that add up, a hold and an AUF leave alone."""
    twists = EDGE_FLIPS if kind_of_twist == 2 else CORNER_TWISTS
    n_orders = sum(
        seen_from(order, before, after) == order for order in ALL_ORDERS if sign(order) == parity
    )
    return n_orders * sum(turned(twist, after) == twist for twist in twists)


def test_whole_last_layers_are_3916_classes_by_burnside():
    # From memory: 3,916 is the published count of last layers up to AUF and hold.
    fixed = sum(
        n_fixed(2, before, after, parity) * n_fixed(3, before, after, parity)
        for before, after in product(range(4), repeat=2)
        for parity in (1, -1)
    )

    assert Fraction(fixed, 16) == 3916


def orbit_sizes(things, moves):
    """How many orbits have each size, the fixed start among them."""
    left = set(things)
    sizes: Counter[int] = Counter()
    while left:
        start = left.pop()
        orbit = {move(start) for move in moves}
        left -= orbit
        sizes[len(orbit)] += 1
    return sizes


def test_the_chances_of_the_olls_are_the_sizes_of_the_orbits():
    moves = [lambda both, n=n: (turned(both[0], n), turned(both[1], n)) for n in range(4)]
    chances = Counter(case.chance for case in CASES.values() if case.id.stage is Stage.OLL)
    chances[1] += 1  # the skip: 1/216

    assert chances == orbit_sizes(ORIENTATIONS, moves)
    assert sum(size * count for size, count in chances.items()) == 216


def test_the_chances_of_the_plls_are_the_sizes_of_the_orbits():
    moves = [
        lambda both, a=a, b=b: (seen_from(both[0], a, b), seen_from(both[1], a, b))
        for a, b in product(range(4), repeat=2)
    ]
    sizes = orbit_sizes(PERMUTATIONS, moves)
    chances = Counter(4 * case.chance for case in CASES.values() if case.id.stage is Stage.PLL)
    chances[4] += 1  # the skip: four AUFs of 288, 1/72

    assert chances == sizes
    assert sum(size * count for size, count in chances.items()) == 288


def mean_until_all(stage: Stage) -> Fraction:
    """The mean number of solves until every case of ``stage`` has come up, exactly.

    Inclusion and exclusion: the sum over all sets of cases, with alternating sign, of one over
    the set's chance (Flajolet, Gardy & Thimonier 1992). Sets of the same chance are counted
    together, with their signs.
    """
    signed = Counter({0: -1})
    for case in CASES.values():
        if case.id.stage is stage:
            for total, count in list(signed.items()):
                signed[total + case.chance] -= count
    return sum(
        (Fraction(stage.chances_in * count, total) for total, count in signed.items() if total),
        Fraction(),
    )


@pytest.mark.parametrize(
    ("stage", "expected"), [(Stage.OLL, 360.298), (Stage.PLL, 141.974)], ids=["oll", "pll"]
)
def test_the_mean_number_of_solves_until_all_cases_have_come_up(stage, expected):
    # Expected figures recomputed by hand elsewhere; the integral is the same mean by Poisson's
    # embedding, worked out numerically by mpmath.
    exactly = mean_until_all(stage)
    shares = [Fraction(c.chance, stage.chances_in) for c in CASES.values() if c.id.stage is stage]
    mp.dps = 20

    def not_all_yet(time):
        missing = mp.mpf(1)
        for share in shares:
            missing *= 1 - exp(-time * share.numerator / share.denominator)
        return 1 - missing

    assert round(float(exactly), 3) == expected
    assert abs(float(quad(not_all_yet, [0, 100, 300, 1000, 3000, inf])) - float(exactly)) < 1e-6
