"""Algorithms described: mirrors and inverses held against the slow cube, the rest by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cubecore.cases import CASES, CaseId, Stage
from cubecore.descriptions import (
    WRIST_LIMIT,
    across_tokens,
    count_grip_changes,
    default_triggers,
    describe,
    mirror_tokens,
    read_out,
)
from cubecore.errors import AlgorithmError, NotationError
from cubecore.notation import format_tokens, parse_tokens
from tests.cubecore import twin
from tests.cubecore.solves import LAST_LAYER, outer

TOKENS = [base + amount for base in "URFDLBurfdlbMESxyz" for amount in ("", "2", "'")]
texts = st.lists(st.sampled_from(TOKENS), max_size=15).map(" ".join)
FIRST = {(case.id.stage.value, str(case.id.number)): case.algorithms[0] for case in CASES.values()}
RECOGNISER = twin.Recogniser(FIRST)


def solved_case(text: str) -> tuple[str, str]:
    """The stage and number of the case that ``text`` solves, found on the slow cube."""
    met = twin.renamed(twin.after(twin.SOLVED, twin.inverse(text)))
    stage = "pll" if twin.is_oriented(met) else "oll"
    return stage, RECOGNISER.case(stage, met).number


def named(case: CaseId | None) -> tuple[str, str]:
    assert case is not None
    return case.stage.value, str(case.number)


@pytest.mark.parametrize("text", LAST_LAYER)
def test_mirror_and_inverse_solve_what_the_slow_cube_says(text):
    said = describe(text)

    assert said.mirror == twin.mirror(text)
    assert named(said.mirror_case) == solved_case(twin.mirror(text))
    # Undone as outer turns: some algorithms end in another hold.
    assert named(said.inverse_case) == solved_case(twin.inverse(outer(text)))


@given(texts)
def test_a_mirrored_text_is_that_of_the_slow_cubes_mirror(text):
    assert format_tokens(mirror_tokens(parse_tokens(text))) == twin.mirror(text)
    assert mirror_tokens(mirror_tokens(parse_tokens(text))) == parse_tokens(text)


@given(texts)
def test_the_other_hand_turns_the_same_from_the_far_side(text):
    across = format_tokens(across_tokens(parse_tokens(text)))

    assert twin.run(f"y2 {across} y2") == twin.run(text)
    assert across_tokens(across_tokens(parse_tokens(text))) == parse_tokens(text)


@pytest.mark.parametrize(
    ("text", "read"),
    [
        # Common practice, no source: the names of runs of turns.
        ("R U R' U R U2 R' F R U R' U' F'", ["Sune", "F", "righty trigger", "F'"]),
        ("R U R' U' R' F R F'", ["righty trigger", "sledgehammer"]),
        ("R' U' R' F R F' U R", ["R'", "U'", "sledgehammer", "U", "R"]),
        ("F (R U R' U')2 F'", ["F", "righty trigger", "righty trigger", "F'"]),
        ("r U R' U R U2 r'", ["wide Sune"]),
        ("x y", ["x", "y"]),
        ("", []),
    ],
)
def test_triggers_are_read_out_by_name(text, read):
    assert list(read_out(parse_tokens(text))) == read


def test_a_clubs_own_triggers_are_read_the_longest_first():
    own = {"short": ("R", "U"), "long": ("R", "U", "R'"), "empty": ()}

    assert list(read_out(parse_tokens("R U R' R U F"), own)) == ["long", "short", "F"]


@pytest.mark.parametrize(
    ("name", "mirrored"),
    [
        ("Sune", "left Sune"),
        ("Antisune", "left Antisune"),
        ("righty trigger", "lefty trigger"),
        ("sledgehammer", "left sledgehammer"),
        ("sledgehammer undone", "left sledgehammer undone"),
        ("righty trigger undone", "lefty trigger undone"),
    ],
)
def test_a_left_trigger_is_the_mirror_of_the_right_one(name, mirrored):
    triggers = {name: " ".join(run) for name, run in default_triggers().items()}

    assert twin.mirror(triggers[name]) == triggers[mirrored]


@pytest.mark.parametrize("name", ["Sune", "Antisune", "wide Sune", "wide Antisune"])
def test_a_run_from_the_back_is_the_left_one_to_a_solver_on_the_far_side(name):
    triggers = {name: " ".join(run) for name, run in default_triggers().items()}
    back = triggers[f"{name} from the back"]

    assert twin.mirror(triggers[name]) == triggers[f"left {name}"]
    assert twin.run(f"y2 {triggers[f'left {name}']} y2") == twin.run(back)


@pytest.mark.parametrize(
    ("number", "place", "read"),
    [
        # Common practice, no source: the names of runs of turns.
        (5, 0, ["wide Antisune from the back"]),
        (6, 0, ["wide Antisune"]),
        (8, 0, ["wide Sune from the back"]),
        (8, 1, ["left wide Sune"]),
        (26, 1, ["Sune from the back"]),
        (27, 1, ["Antisune from the back"]),
        (42, 0, ["Sune from the back", "F", "righty trigger", "F'"]),
        (41, 0, ["Sune", "F", "righty trigger", "F'"]),
    ],
)
def test_sunes_are_named_in_the_standard_algorithms(number, place, read):
    text = CASES[CaseId(Stage.OLL, number)].algorithms[place]

    assert list(read_out(parse_tokens(text))) == read


@pytest.mark.parametrize("name", ["righty trigger", "lefty trigger", "sledgehammer"])
def test_a_trigger_undone_is_the_inverse(name):
    triggers = {name: " ".join(run) for name, run in default_triggers().items()}

    assert twin.inverse(triggers[name]) == triggers[f"{name} undone"]


@pytest.mark.parametrize(
    ("text", "n_changes"),
    [
        # The documented rule, worked by hand; a wrist goes two quarter turns either way.
        ("", 0),
        ("R U R' U'", 0),
        ("R U2 R2 U' R2 U' R2 U2 R", 0),  # 1, -1, 1, -1, 0: a half turn goes towards the middle
        ("R U R U R", 1),  # 1, 2, then 3 is too far
        ("R' U R' U R'", 1),
        ("r U r U r", 1),
        ("L U R U L U R", 0),  # each hand has its own wrist
        ("L L L", 1),
        ("R R R R R", 2),  # 1, 2, afresh at 1, 2, afresh
        ("x R y", 2),
        ("z", 1),
        ("R R x R R", 1),
        ("R R x' R R R", 2),
        ("F F F M M M U U U", 0),
        ("R2 R", 1),  # from the middle clockwise, and on: too far
        ("R2 R'", 0),
        ("L2 L'", 1),  # the left hand's mirror of it
        ("L2 L", 0),
        ("l2 l", 0),
    ],
)
def test_changes_of_grip_are_counted_by_the_documented_rule(text, n_changes):
    assert WRIST_LIMIT == 2
    assert count_grip_changes(parse_tokens(text)) == n_changes


@pytest.mark.parametrize("text", LAST_LAYER)
def test_an_algorithm_and_its_mirror_change_the_grip_alike(text):
    # The mirror by the tests' own cube: the hands swap, so each does what the other did.
    mirrored = twin.mirror(text)

    assert count_grip_changes(parse_tokens(mirrored)) == count_grip_changes(parse_tokens(text))


@given(texts)
def test_any_turns_and_their_mirror_change_the_grip_alike(text):
    mirrored = format_tokens(mirror_tokens(parse_tokens(text)))

    assert count_grip_changes(parse_tokens(mirrored)) == count_grip_changes(parse_tokens(text))


def test_a_description_holds_lengths_and_kinds_of_turns():
    said = describe("M2 U M U2 M' U M2")

    assert tuple(said.metrics) == (11, 16, 7, 7)
    assert (said.n_wide, said.n_slices) == (0, 4)
    assert describe("r U R' U R U2 r'").n_wide == 2
    sliced = describe("S R U R' U' R' F R f'")
    assert (sliced.n_wide, sliced.n_slices, tuple(sliced.metrics)) == (1, 1, (10, 10, 9, 9))


def test_the_other_hands_algorithm_solves_the_same_case():
    for text in LAST_LAYER[::7]:
        assert solved_case(describe(text).other_hand) == solved_case(text)


def test_what_is_no_algorithm_is_not_described():
    with pytest.raises(AlgorithmError):
        describe("R U R'")
    with pytest.raises(NotationError):
        describe("R U Q")


def test_a_sune_undone_and_a_sune_in_the_mirror_are_antisunes():
    # Common practice, no source.
    sune = CASES[CaseId(Stage.OLL, 27)].algorithms[0]

    assert describe(sune).mirror_case == CaseId(Stage.OLL, 26)
    assert describe(sune).inverse_case == CaseId(Stage.OLL, 26)
