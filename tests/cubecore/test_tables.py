"""Each algorithm of the tables, proved on the tests' own slow cube."""

import pytest

from cubecore.algorithms import prove_algorithm
from cubecore.book import default_book
from cubecore.cases import CASES, Stage
from tests.cubecore import twin

ENTRIES = [(case, text) for case in CASES.values() for text in case.algorithms]
SOLVES = {(case.id.stage.value, str(case.id.number)): case.algorithms[0] for case in CASES.values()}


def unsolved_by(text: str) -> str:
    """The position that ``text`` solves, as it is held when ``text`` begins."""
    return twin.renamed(twin.after(twin.SOLVED, twin.inverse(text)))


@pytest.mark.parametrize(("case", "text"), ENTRIES, ids=[f"{c.id}: {t}" for c, t in ENTRIES])
def test_an_algorithm_of_the_tables_solves_its_case_and_keeps_the_first_two_layers(case, text):
    met = unsolved_by(text)
    held = twin.upright(twin.after(met, text))
    found = twin.Recogniser(SOLVES).case(case.id.stage.value, met)
    proved = prove_algorithm(text, case.id)

    assert twin.is_f2l_home(met)
    assert held == twin.SOLVED
    assert found == (str(case.id.number), proved.angle)
    if case.id.stage is Stage.PLL:
        assert twin.is_oriented(met)


def test_the_tables_hold_57_and_21_cases():
    numbers = [case.number for case in CASES if case.stage is Stage.OLL]
    letters = [case.number for case in CASES if case.stage is Stage.PLL]

    assert numbers == list(range(1, 58))
    # Common practice, no source: the trade's letters.
    assert letters == [
        "Aa",
        "Ab",
        "E",
        "F",
        "Ga",
        "Gb",
        "Gc",
        "Gd",
        "H",
        "Ja",
        "Jb",
        "Na",
        "Nb",
        "Ra",
        "Rb",
        "T",
        "Ua",
        "Ub",
        "V",
        "Y",
        "Z",
    ]


def test_the_first_algorithm_of_a_case_sets_the_hold_angles_count_from():
    book = default_book()

    for case in CASES.values():
        first = book.algorithms(case.id)[0]
        assert (first.text, first.angle) == (case.algorithms[0], 0), case


# Common practice, no source; typed from memory: which OLLs show which edges and corners. Families
# by number, as the trade has them.
SHAPES = {
    "dot": (1, 2, 3, 4, 17, 18, 19, 20),
    "bar": (33, 34, 39, 40, 45, 46, 51, 52, 55, 56, 13, 14, 15, 16, 57),
    "oriented": (21, 22, 23, 24, 25, 26, 27),
}


def test_the_edges_of_each_oll_number_lie_as_the_trade_has_them():
    got: dict[str, set[int | str]] = {}
    for case in CASES.values():
        if case.id.stage is Stage.OLL:
            step = twin.edge_step(unsolved_by(case.algorithms[0]))
            got.setdefault(step, set()).add(case.id.number)

    assert {step: got[step] for step in SHAPES} == {
        step: set(numbers) for step, numbers in SHAPES.items()
    }
    assert got["angle"] == set(range(1, 58)) - {n for known in SHAPES.values() for n in known}


# Common practice, no source; typed from memory.
CORNERS_UP = {
    0: (1, 2, 21, 22, 47, 48, 49, 50, 51, 52, 53, 54, 55, 56),
    1: (3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 26, 27),
    4: (20, 28, 57),
}


def test_as_many_corners_of_each_oll_number_face_up_as_the_trade_has_them():
    got: dict[int, set[int | str]] = {}
    for case in CASES.values():
        if case.id.stage is Stage.OLL:
            met = unsolved_by(case.algorithms[0])
            n_up = sum(met[twin.NUMBER[name]] == "U" for name in ("U1", "U3", "U7", "U9"))
            got.setdefault(n_up, set()).add(case.id.number)

    assert {n: got[n] for n in CORNERS_UP} == {n: set(known) for n, known in CORNERS_UP.items()}
    assert got[2] == set(range(1, 58)) - {n for known in CORNERS_UP.values() for n in known}


def test_a_family_of_cases_shows_one_shape_of_edges():
    shapes: dict[str, set[str]] = {}
    for case in CASES.values():
        if case.id.stage is Stage.OLL:
            step = twin.edge_step(unsolved_by(case.algorithms[0]))
            shapes.setdefault(case.family, set()).add(step)

    assert {family for family, steps in shapes.items() if len(steps) > 1} <= {"corners up"}


# Which pieces a permutation case moves, by the family's name: how the corners lie to one another,
# and whether no AUF brings all edges home. Common practice, no source. (E's corners lie as a
# diagonal swap's do; the edges of H are home after a half turn, but then its corners are not.)
@pytest.mark.parametrize(
    ("family", "corners", "edges"),
    [
        ("edges only", {"none"}, {True, False}),
        ("corners only", {"adjacent", "diagonal"}, {False}),
        ("adjacent swap", {"adjacent"}, {True}),
        ("diagonal swap", {"diagonal"}, {True}),
        ("G", {"adjacent"}, {True}),
    ],
)
def test_a_family_of_permutations_moves_what_its_name_says(family, corners, edges):
    for case in CASES.values():
        if case.family == family and case.id.stage is Stage.PLL:
            met = unsolved_by(case.algorithms[0])
            at_rest = any(
                all(turned[twin.NUMBER[side]] == side[0] for _, side in twin.EDGES)
                for turned in (twin.after(met, auf) for auf in twin.AUF)
            )
            assert twin.permutation_step(met) in corners, case
            assert (not at_rest) in edges, case
