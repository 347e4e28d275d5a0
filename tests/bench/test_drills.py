"""Ten thousand drills for each of five cases: what they lead to, how evenly, how long, how fast.

Speed is the time of the processor, beside that of the twin's check of the same drill in the same
run. The lengths over every last layer are counted too, as no scramble may be longer than is said.
"""

from collections import Counter
from importlib.resources import files
from itertools import permutations
from random import Random
from time import process_time
from zlib import decompress

import pytest
from scipy.stats import chisquare, kstest

from cubecore.book import default_book
from cubecore.cases import CASES, LastLayerKey, Stage, find_case, label_key
from cubecore.drills import MAX_HTM, DrillMaker, draw_last_layer
from cubecore.ways import N_WAYS, searched_table
from tests.cubecore.drill_checks import book_rings, check_case, check_uniform, is_copy

pytestmark = pytest.mark.bench
N_DRILLS = 10_000
SEED = 1
"""Fixed: of ten tests at 1 % one fails by chance in a tenth of all seeds. One such seed was seen and
left; `test_the_p_values_of_many_seeds_are_even` shows that it was chance."""
# One of the 4, 2 and 1 chances of an OLL, and of the 4 and 1 of a PLL.
NAMES = ("OLL 27", "OLL 57", "OLL 20", "PLL T", "PLL H")


@pytest.fixture(scope="module")
def maker() -> DrillMaker:
    """A maker, with what its first drill took."""
    began = process_time()
    maker = DrillMaker(default_book())
    maker.drill(find_case("PLL Na"), Random(SEED))
    print(f"\nfirst drill: {process_time() - began:.2f} s of the processor")
    return maker


def test_the_shipped_table_is_the_one_that_is_searched_for():
    """Takes minutes."""
    shipped = files("cubecore").joinpath("tables/ways.bin").read_bytes()
    assert decompress(shipped) == decompress(searched_table())


@pytest.mark.parametrize("name", NAMES)
def test_ten_thousand_drills(maker: DrillMaker, name: str):
    case = find_case(name)
    began = process_time()
    drills = list(maker.drills([case], N_DRILLS, Random(SEED)))
    made = process_time() - began
    rings = book_rings()
    began = process_time()
    seen = [check_case(drill, case) for drill in drills]
    checked = process_time() - began
    p_angle, p_layer = check_uniform(seen, case)
    assert not [drill for drill in drills if is_copy(drill, rings)]
    lengths = Counter(drill.htm for drill in drills)
    assert max(lengths) <= MAX_HTM
    short = sum(n for htm, n in lengths.items() if htm <= 16) / N_DRILLS
    print(
        f"\n{case}: {len({colours for colours, _ in seen})} last layers,"
        f" p of angles {p_angle:.3f}, of last layers {p_layer:.3f};"
        f" {len({drill.scramble for drill in drills})} different scrambles,"
        f" {short:.2%} of at most 16 turns,"
        f" mean {sum(htm * n for htm, n in lengths.items()) / N_DRILLS:.2f};"
        f" lengths {dict(sorted(lengths.items()))};"
        f" {made / N_DRILLS * 1000:.2f} ms a drill, {made / checked:.1f} times the twin's check"
    )


def test_the_p_values_of_many_seeds_are_even():
    """Under true evenness a p-value is even itself (the definition of one)."""
    case = find_case("OLL 20")
    values = []
    for seed in range(40):
        rng = Random(seed)
        drawn = Counter(draw_last_layer(case, rng) for _ in range(N_DRILLS))
        values.append(chisquare([*drawn.values(), *[0] * (288 - len(drawn))]).pvalue)
    assert kstest(values, "uniform").pvalue > 0.01


def test_the_longest_way_to_any_last_layer(maker: DrillMaker):
    longest: Counter[int] = Counter()
    began = process_time()
    for key in every_last_layer().values():
        ways = maker.ways(key)
        assert len(ways) >= N_WAYS[Stage.OLL]
        longest[max(map(len, ways)) + 1] += 1  # and an AUF
    assert max(longest) <= MAX_HTM
    print(f"\nlongest scramble by last layer: {dict(sorted(longest.items()))}", end="; ")
    print(f"{process_time() - began:.0f} s for all")


def every_last_layer() -> dict[int, LastLayerKey]:
    """One of each last layer, AUF and hold aside, by its number."""
    found: dict[int, LastLayerKey] = {}
    for case in CASES.values():
        orders = list(permutations(range(4))) if case.id.stage is Stage.OLL else [(0, 1, 2, 3)]
        for edges in orders:
            for corners in orders:
                order = (*edges, *(4 + corner for corner in corners))
                dealt = LastLayerKey(bytes(case.key[i] for i in order))
                if is_even(edges) == is_even(corners):
                    found.setdefault(label_key(dealt).position, dealt)
    assert len(found) == 3915  # the 3,916 last layers, solved left out (published, from memory)
    return found


def is_even(order: tuple[int, ...]) -> bool:
    """Whether a permutation is made of an even number of swaps."""
    return sum(a > b for i, a in enumerate(order) for b in order[i + 1 :]) % 2 == 0
