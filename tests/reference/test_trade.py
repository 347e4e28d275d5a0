"""Facts of the trade about cases and their algorithms. All of them: common practice, no source."""

import pytest

from cubecore.algorithms import normal_form, prove_algorithm
from cubecore.cases import CASES, CaseId, Stage, find_case
from cubecore.notation import parse_script
from tests.cubecore import twin

SUNE = "R U R' U R U2 R'"
# Seen in a mirror between front and back: the Sune from the back, its mirror.
BACK_MIRRORED_SUNE = "R' U' R U' R' U2 R"
EDGE_TRIGGER = "F R U R' U' F'"
SLEDGEHAMMER = "R' F R F'"


def met(text: str) -> str:
    """The position that ``text`` solves, as it is held."""
    return twin.renamed(twin.after(twin.SOLVED, twin.inverse(text)))


def shows_up_colour(colours: str, names: str) -> list[bool]:
    return [colours[twin.NUMBER[name]] == "U" for name in names.split()]


def wide(text: str) -> str:
    """``text`` with its first and last turn of R made wide."""
    words = text.split()
    words[0], words[-1] = words[0].lower(), words[-1].lower()
    return " ".join(words)


def algorithms(number: int) -> tuple[str, ...]:
    return CASES[CaseId(Stage.OLL, number)].algorithms


@pytest.mark.parametrize(
    ("number", "text", "square"),
    [
        (5, wide(twin.inverse(BACK_MIRRORED_SUNE)), "U5 U6 U8 U9"),
        (6, wide(twin.inverse(SUNE)), "U5 U6 U2 U3"),
    ],
)
def test_a_square_is_held_on_the_right_and_solved_by_a_wide_sune(number, text, square):
    # A Sune undone, wide: from the front for one square, from the back for the other.
    proved = prove_algorithm(text)
    held = met(text)

    assert proved.case == CaseId(Stage.OLL, number)
    assert text in algorithms(number)
    assert all(shows_up_colour(held, square))
    assert sum(shows_up_colour(held, " ".join(f"U{n}" for n in range(1, 10)))) == 4
    assert sum(shows_up_colour(held, "R1 R3")) == 1


def test_the_squares_are_mirrors():
    assert prove_algorithm(twin.mirror(algorithms(5)[0])).case == CaseId(Stage.OLL, 6)


def test_the_c_with_a_bar_of_three_is_a_sledgehammer_between_turns_undone():
    text = f"R' U' {SLEDGEHAMMER} U R"
    held = met(text)

    assert text == algorithms(46)[0]
    assert prove_algorithm(text).case == CaseId(Stage.OLL, 46)
    assert all(shows_up_colour(held, "R1 R2 R3"))


def test_the_other_c_faces_the_solver():
    held = met(algorithms(34)[0])

    # Its middle row and its two front corners are up: the C opens towards the solver.
    assert all(shows_up_colour(held, "U4 U5 U6 U7 U9"))
    assert not any(shows_up_colour(held, "U1 U2 U3 U8"))


@pytest.mark.parametrize(("number", "bar", "hand"), [(36, "L2 L3", "L"), (38, "R1 R2", "R")])
def test_a_w_is_held_with_its_bar_of_two_on_the_side_of_the_working_hand(number, bar, hand):
    text = algorithms(number)[0]

    assert all(shows_up_colour(met(text), bar))
    assert text.split()[0][0] == hand


def test_the_ws_are_mirrors():
    assert prove_algorithm(twin.mirror(algorithms(36)[0])).case == CaseId(Stage.OLL, 38)
    assert prove_algorithm(twin.mirror(algorithms(38)[0])).case == CaseId(Stage.OLL, 36)


@pytest.mark.parametrize(("number", "sune"), [(41, SUNE), (42, BACK_MIRRORED_SUNE)])
def test_an_awkward_case_with_headlights_is_a_sune_and_then_the_edges(number, sune):
    text = f"{sune} {EDGE_TRIGGER}"
    held = met(text)
    headlights = [all(shows_up_colour(held, f"{side}1 {side}3")) for side in "FRBL"]

    assert text in algorithms(number)
    assert prove_algorithm(text).case == CaseId(Stage.OLL, number)
    assert sum(headlights) == 1


@pytest.mark.parametrize(("number", "bolt"), [(41, "U7 U4 U5 U2"), (42, "U1 U4 U5 U8")])
def test_an_awkward_case_with_headlights_has_its_bolt_upright_on_the_left(number, bolt):
    held = met(algorithms(number)[0])

    # Along the left side, then over the middle to the back or the front; nothing of it on the right.
    assert all(shows_up_colour(held, bolt))
    assert not any(shows_up_colour(held, "U6"))


@pytest.mark.parametrize(("number", "matching"), [(29, "F1 F2"), (30, "F2 F3")])
def test_an_awkward_case_without_headlights_is_held_with_matching_stickers_in_front(
    number, matching
):
    held = met(algorithms(number)[0])

    assert not any(all(shows_up_colour(held, f"{side}1 {side}3")) for side in "FRBL")
    assert all(shows_up_colour(held, matching))


def test_the_awkward_cases_are_two_mirror_pairs():
    for one, other in ((29, 30), (41, 42)):
        assert prove_algorithm(twin.mirror(algorithms(one)[0])).case == CaseId(Stage.OLL, other)


# Everyday names that hang on one well-known algorithm, typed from memory.
@pytest.mark.parametrize(
    ("text", "case"),
    [
        (SUNE, "OLL 27"),
        ("R U2 R' U' R U' R'", "OLL 26"),
        ("R U2 R2 U' R2 U' R2 U2 R", "OLL 22"),
        ("R U2 R' U' R U R' U' R U' R'", "OLL 21"),
        ("R2 D R' U2 R D' R' U2 R'", "OLL 23"),
        ("r U R' U' r' F R F'", "OLL 24"),
        ("F' r U R' U' r' F R", "OLL 25"),
        (EDGE_TRIGGER, "OLL 45"),
        ("f R U R' U' f'", "OLL 44"),
        ("R U R' U' R' F R F'", "OLL 33"),
        ("F U R U' R' U R U' R' F'", "OLL 51"),
        ("R U R' U' M' U R U' r'", "OLL 57"),
        ("r U R' U' r' R U R U' R'", "OLL 28"),
        ("R U2 R2 F R F' R U2 R'", "OLL 35"),
        ("F R U' R' U' R U R' F'", "OLL 37"),
        ("r U R' U R U2 r'", "OLL 7"),
        ("R U R' U R U' R' U' R' F R F'", "OLL 38"),
        ("F R U R' U' R U R' U' F'", "OLL 48"),
        ("M U R U R' U' M2 U R U' r'", "OLL 20"),
        ("R U R' U' R' F R2 U' R' U' R U R' F'", "PLL T"),
        ("R U R' F' R U R' U' R' F R2 U' R'", "PLL Jb"),
        ("F R U' R' U' R U R' F' R U R' U' R' F R F'", "PLL Y"),
        ("M2 U M2 U2 M2 U M2", "PLL H"),
        ("M2 U M U2 M' U M2", "PLL Ua"),
        ("M2 U' M U2 M' U' M2", "PLL Ub"),
        ("R' U' F' R U R' U' R' F R2 U' R' U' R U R' U R", "PLL F"),
    ],
)
def test_an_algorithm_everybody_knows_solves_the_case_it_is_known_for(text, case):
    assert prove_algorithm(text).case == find_case(case).id


EDGE_SLOTS = ("F2", "L2", "B2", "R2")  # clockwise from above
CORNER_SLOTS = ("F1 L3", "L1 B3", "B1 R3", "R1 F3")


# Seen from above, which way the three pieces go as the case is solved; from memory.
@pytest.mark.parametrize(
    ("case", "slots", "steps"),
    [
        ("PLL Ua", EDGE_SLOTS, -1),
        ("PLL Ub", EDGE_SLOTS, 1),
        ("PLL Aa", CORNER_SLOTS, 1),
        ("PLL Ab", CORNER_SLOTS, -1),
    ],
)
def test_three_pieces_go_round_the_way_their_letter_says(case, slots, steps):
    held = met(find_case(case).algorithms[0])
    home = [{name[0] for name in slot.split()} for slot in slots]
    goes = [home.index({held[twin.NUMBER[name]] for name in slot.split()}) for slot in slots]
    moving = [slot for slot in range(4) if goes[slot] != slot]

    assert len(moving) == 3
    assert [goes[slot] for slot in moving] == [moving[(n + steps) % 3] for n in range(3)]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Aa", "Ab"), ("Ua", "Ub"), ("Ga", "Gc"), ("Gb", "Gd"), ("Ja", "Jb"), ("Na", "Nb"),
        ("Ra", "Rb"),
    ],
)  # fmt: skip
def test_permutations_of_one_letter_are_mirrors(one, other):
    mirrored = twin.mirror(find_case(f"PLL {one}").algorithms[0])

    assert prove_algorithm(mirrored).case == find_case(f"PLL {other}").id


@pytest.mark.parametrize(
    ("one", "other"), [("Aa", "Ab"), ("Ua", "Ub"), ("Ga", "Gb"), ("Gc", "Gd"), ("T", "T")]
)
def test_undoing_a_permutation_solves_the_case_of_its_inverse(one, other):
    undone = twin.inverse(find_case(f"PLL {one}").algorithms[0])

    assert prove_algorithm(undone).case == find_case(f"PLL {other}").id


def test_two_spellings_of_one_algorithm_have_one_normal_form():
    forms = {
        normal_form(parse_script(text).turns).form
        for text in (
            "f R U R' U' f'",
            "U f R U R' U' f' U2",
            "y' f R U R' U' f'",
            "(f) R U R3 U3 f3",
        )
    }

    assert len(forms) == 1
