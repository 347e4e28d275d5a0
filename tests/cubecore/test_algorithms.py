"""Normal forms, and the proof of an entry: taken, or refused with what it does instead."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cubecore.algorithms import normal_form, prove_algorithm, solved_by
from cubecore.book import Book, default_book
from cubecore.cases import CASES, CaseId, Stage
from cubecore.errors import AlgorithmError, NotationError
from cubecore.notation import parse_script
from tests.cubecore import twin
from tests.cubecore.solves import LAST_LAYER, TURNS, outer

SUNE = "R U R' U R U2 R'"


def form(text: str) -> bytes:
    return normal_form(parse_script(text).turns).form


def n_turns(text: str) -> int:
    return normal_form(parse_script(text).turns).htm


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (f"U2 {SUNE} U'", SUNE),  # AUF stripped
        ("L U L' U L U2 L'", f"y2 {SUNE}"),  # the layer's four rotations folded together
        ("R L U", "L R"),  # opposite faces in one order
        ("R L R U", "R2 L"),  # neighbours of one face added up
        ("R U U' R' F", "F"),  # turns that undo each other are gone
        ("R L R' L' D", "D"),
        ("r U R' U R U2 r'", "L x U R' U R U2 L' x'"),  # a wide turn and what it moves
        ("U D R", "D R"),  # AUF beside the opposite face
        ("R D U", "R D"),
        ("", "U2"),
        ("M", "R L' x'"),
    ],
)
def test_two_spellings_that_turn_the_same_faces_are_the_same_algorithm(one, other):
    assert form(one) == form(other)


@pytest.mark.parametrize(
    ("one", "other"),
    [(SUNE, "R U2 R' U' R U' R'"), (SUNE, f"x {SUNE}"), ("R U F", "R U2 F"), ("R L", "R L'")],
)
def test_different_turns_are_different_algorithms(one, other):
    assert form(one) != form(other)


@given(
    st.sampled_from(LAST_LAYER),
    st.sampled_from(twin.AUF),
    st.sampled_from(twin.AUF),
    st.sampled_from(("", "y", "y2", "y'")),
)
def test_auf_and_hold_never_change_what_algorithm_it_is(text, before, after, hold):
    # Some algorithms end in another hold; the AUF behind is written as outer turns of the layer.
    made = f"{hold} {before} {outer(text)} {after}"

    assert form(made) == form(text)


@given(st.lists(st.sampled_from(TURNS), max_size=12))
def test_a_normal_form_is_its_own_normal_form_and_no_longer_than_the_turns(turns):
    text = " ".join(turns)
    normal = normal_form(parse_script(text).turns)

    assert normal_form(normal.form) == normal
    assert len(normal.form) == normal.htm <= len(turns)
    # Opposite faces stand in one order in all forms, so that a book's version is the same for ever.
    pairs = [(a // 3, b // 3) for a, b in pairwise(normal.form)]
    assert all(a < b for a, b in pairs if a % 3 == b % 3)


@given(st.lists(st.sampled_from(TURNS), max_size=10), st.data())
def test_a_turn_made_in_two_halves_is_one_turn(turns, data):
    place = data.draw(st.integers(0, len(turns)))
    extra = data.draw(st.sampled_from(TURNS))
    split = [*turns[:place], extra, twin.inverse(extra), *turns[place:]]

    assert form(" ".join(split)) == form(" ".join(turns))


def test_lengths_are_in_face_turns():
    assert n_turns(SUNE) == 7
    assert n_turns(f"U {SUNE} U") == 7
    assert n_turns("M2 U M2") == 5
    assert n_turns("R R") == 1


def test_an_algorithm_is_proved_with_its_case_angle_and_normal_spelling():
    proved = prove_algorithm("(Rw U R3) U' Rw' F R F3", CaseId(Stage.OLL, 24))

    assert proved.text == "r U R' U' r' F R F'"
    assert (proved.case, proved.angle) == (CaseId(Stage.OLL, 24), 0)


@pytest.mark.parametrize(("auf", "angle"), [("", 0), ("U", 1), ("U2", 2), ("U'", 3)])
def test_an_auf_before_the_algorithm_shows_in_its_angle(auf, angle):
    assert prove_algorithm(f"{auf} {SUNE}").angle == angle


@pytest.mark.parametrize(
    ("text", "case", "code", "said"),
    [
        (SUNE, CaseId(Stage.OLL, 26), "other_case", "OLL 27 Sune, not OLL 26 Antisune"),
        (SUNE, CaseId(Stage.PLL, "T"), "other_case", "OLL 27 Sune, not PLL T"),
        ("U2", None, "does_nothing", "only turns the last layer"),
        ("x y", None, "does_nothing", "only turns the last layer"),
        ("", None, "does_nothing", "nothing"),
        ("R U R'", None, "breaks_f2l", "from turn 1 on"),
        (f"{SUNE} F R", None, "breaks_f2l", "from turn 8 on"),
        (f"U y {SUNE} y R U2", None, "breaks_f2l", "from turn 11 on"),
    ],
)
def test_an_entry_that_does_something_else_is_refused_with_what_it_does(text, case, code, said):
    with pytest.raises(AlgorithmError) as caught:
        prove_algorithm(text, case)

    assert caught.value.code == code
    assert said in caught.value.message
    assert repr(text) in caught.value.message


def test_an_entry_that_is_no_notation_is_refused_with_its_column():
    with pytest.raises(NotationError) as caught:
        prove_algorithm("R U Q")

    assert caught.value.column == 5


@given(st.lists(st.sampled_from(TURNS), min_size=1, max_size=8))
def test_what_breaks_the_first_two_layers_solves_nothing(turns):
    text = " ".join(turns)
    met = twin.after(twin.SOLVED, twin.inverse(text))

    assert (solved_by(parse_script(text).turns) is None) == (not twin.is_f2l_home(met))


def test_a_book_knows_its_algorithms_in_any_hold():
    book = default_book()
    found = book.find(parse_script(f"y2 U {SUNE} U'").turns)

    assert found is not None
    assert (found.text, found.case) == (SUNE, CaseId(Stage.OLL, 27))
    assert book.find(parse_script("R U F").turns) is None


def test_every_algorithm_of_the_tables_is_found_for_its_case_and_no_other():
    book = default_book()
    for case in CASES.values():
        forms = {form(text): text for text in reversed(case.algorithms)}
        listed = [entry.text for entry in book.algorithms(case.id)]
        assert listed == [text for text in case.algorithms if text in forms.values()]
        for text in case.algorithms:
            found = book.find(parse_script(text).turns)
            assert found is not None
            assert (found.text, found.case) == (forms[form(text)], case.id)


def test_of_two_spellings_of_one_algorithm_the_first_is_kept():
    book = Book([prove_algorithm(SUNE), prove_algorithm(f"U {SUNE} U")])

    assert [entry.text for entry in book.algorithms(CaseId(Stage.OLL, 27))] == [SUNE]
    assert book.algorithms(CaseId(Stage.OLL, 26)) == ()


def test_a_books_version_changes_with_what_it_can_tell_apart():
    sune, antisune = prove_algorithm(SUNE), prove_algorithm("R U2 R' U' R U' R'")

    assert Book([sune, antisune]).version == Book([antisune, sune]).version
    assert Book([sune]).version != Book([sune, antisune]).version
    assert Book([]).version != Book([sune]).version
    assert default_book().version == default_book().version
