"""The engine's turns as permutations, held against sympy's own cube and its group theory."""

from functools import cache
from itertools import product

import pytest
from sympy import factorial
from sympy.combinatorics import Permutation, PermutationGroup
from sympy.combinatorics.generators import rubik_cube_generators

from cubecore.cases import CASES
from cubecore.cube import N_STICKERS, SOLVED, TURN_TABLES, after_turns
from cubecore.notation import parse_script
from cubecore.turns import Face, Turns, make_turn
from tests.cubecore import twin

# Published, e.g. in sympy's and GAP's documentation of the cube's group: 8! 12! 3**8 2**12 / 12.
POSITIONS = 43_252_003_274_489_856_000
# sympy's generators follow GAP's documentation, whose faces come in this order.
SYMPY_FACES = "ULFRBD"


def permutation(turns: Turns) -> Permutation:
    """What ``turns`` do to the engine's 48 stickers."""
    return Permutation(list(after_turns(SOLVED, turns)))


@cache
def of_text(text: str) -> Permutation:
    return permutation(parse_script(text).turns)


@cache
def sympy_turns() -> dict[str, Permutation]:
    return dict(zip(SYMPY_FACES, rubik_cube_generators(), strict=True))


@cache
def relabelling() -> tuple[int, ...]:
    """sympy's number for each sticker of the engine: the one that carries every turn over.

    A white edge sticker and a white corner sticker are tried at all places of sympy's top face; the
    turns give all others. (Flipping all edges or twisting all corners would carry the turns over
    too, but take stickers off their faces.)
    """
    ours = {face: of_text(face) for face in SYMPY_FACES}
    found = []
    for edge, corner in product(range(8), repeat=2):
        names = {0: edge, 4: corner}
        queue = list(names)
        for sticker in queue:
            for face, turn in sympy_turns().items():
                moved = ours[face](sticker)
                if moved not in names:
                    names[moved] = turn(names[sticker])
                    queue.append(moved)
        carried = all(
            names[ours[face](sticker)] == turn(name)
            for face, turn in sympy_turns().items()
            for sticker, name in names.items()
        )
        if carried and len(set(names.values())) == N_STICKERS:
            found.append(tuple(names[sticker] for sticker in range(N_STICKERS)))
    (only,) = found
    return only


def test_turns_are_those_of_sympy_up_to_one_relabelling_of_the_stickers():
    names = relabelling()

    assert sorted(names) == list(range(N_STICKERS))
    for face, turn in sympy_turns().items():
        for amount in (1, 2, 3):
            table = TURN_TABLES[make_turn(Face[face], amount)]
            expected = turn**amount
            assert [names[table[s]] for s in range(48)] == [expected(n) for n in names], face


def test_the_relabelling_keeps_each_sticker_on_its_face():
    # GAP's documentation numbers the faces' stickers 1-8 top, 9-16 left, front, right, rear, bottom.
    for sticker, name in enumerate(relabelling()):
        assert SYMPY_FACES[name // 8] == Face(sticker // 8).name


def test_the_tests_own_cube_turns_as_sympys_does():
    # The net of GAP's documentation, read row by row, is the twin's reading order without centres.
    order = [twin.NUMBER[f"{face}{n}"] for face in SYMPY_FACES for n in (1, 2, 3, 4, 6, 7, 8, 9)]
    for face, turn in sympy_turns().items():
        moved = twin.token_permutation(face)
        assert [order.index(moved[place]) for place in order] == [turn(n) for n in range(48)], face


def test_the_cube_has_as_many_positions_as_published():
    group = PermutationGroup([of_text(face.name) for face in Face])

    assert group.order() == POSITIONS
    assert factorial(8) * factorial(12) * 3**8 * 2**12 // 12 == POSITIONS


@pytest.mark.parametrize(
    ("text", "order"),
    [
        # Published group theory of the cube.
        ("R", 4),
        ("R U", 105),
        ("R U'", 63),
        ("R U R' U'", 6),
        ("R U2 D' B D'", 1260),
        # From memory: six times "R2 U2" and six Sunes are common practice.
        ("R2 U2", 6),
        ("R U R' U R U2 R'", 6),
    ],
)
def test_orders_of_elements(text, order):
    assert of_text(text).order() == order
    theirs = Permutation(47)
    for turn in parse_script(text).turns:
        theirs = theirs * sympy_turns()[Face(turn // 3).name] ** (turn % 3 + 1)
    assert theirs.order() == order


@cache
def last_layer_group() -> PermutationGroup:
    algorithms = ("U", "R U R' U R U2 R'", "F R U R' U' F'", "R U R' U' R' F R2 U' R' U' R U R' F'")
    return PermutationGroup([of_text(text) for text in algorithms])


def test_the_last_layer_group_has_62208_positions():
    # 4! 4! / 2 3**3 2**3: pieces and twists under the parity rules.
    assert last_layer_group().order() == 24 * 24 // 2 * 3**3 * 2**3 == 62_208


def test_every_algorithm_of_the_tables_lies_in_the_last_layer_group():
    group = last_layer_group()
    for case in CASES.values():
        for text in case.algorithms:
            assert group.contains(of_text(text)), (case, text)
