"""Cases by name, and what of them is drawn: where pieces lie and where they belong."""

import pytest

from cubecore.cases import (
    CASES,
    SKIP,
    SOLVED_KEY,
    CaseId,
    Stage,
    case_at_angle,
    find_case,
    homeward,
    label_key,
)
from cubecore.errors import CaseNameError
from tests.cubecore import twin


@pytest.mark.parametrize(
    ("text", "case"),
    [
        ("27", CaseId(Stage.OLL, 27)),
        ("OLL 27", CaseId(Stage.OLL, 27)),
        (" t ", CaseId(Stage.PLL, "T")),
        ("pll ga", CaseId(Stage.PLL, "Ga")),
        ("GA", CaseId(Stage.PLL, "Ga")),
    ],
)
def test_a_case_is_found_by_any_of_its_names(text, case):
    assert find_case(text).id == case


@pytest.mark.parametrize("text", ["", "58", "0", "OLL", "PLL 27", "oll t", "X", "OLLPLL T"])
def test_what_is_no_case_is_refused_with_what_there_is(text):
    with pytest.raises(CaseNameError, match="1-57"):
        find_case(text)


@pytest.mark.parametrize("case", CASES.values(), ids=str)
def test_a_case_is_found_by_its_own_name(case):
    assert find_case(str(case.id)) == case
    assert str(case).startswith(str(case.id))


def test_the_sums_of_the_chances():
    # With the skip: 216 orientations and 72 permutations up to AUF.
    for stage, total in ((Stage.OLL, 216), (Stage.PLL, 72)):
        chances = [case.chance for case in CASES.values() if case.id.stage is stage]
        assert sum(chances) + 1 == stage.chances_in == total


@pytest.mark.parametrize("case", CASES.values(), ids=str)
def test_a_case_met_at_an_angle_is_labelled_with_it(case):
    for angle in range(case.n_angles):
        shown = label_key(case_at_angle(case, angle))
        if case.id.stage is Stage.OLL:
            assert (shown.oll, shown.oll_angle) == (case.id.number, angle)
        else:
            assert (shown.pll, shown.pll_angle) == (case.id.number, angle)


# The engine's places of a layer from above: front, left, back, right, then the corners between.
PLACES = ("F2", "L2", "B2", "R2", "F1 L3", "L1 B3", "B1 R3", "R1 F3")


@pytest.mark.parametrize(
    "case", [case for case in CASES.values() if case.id.stage is Stage.PLL], ids=str
)
def test_pieces_of_a_permutation_belong_where_the_slow_cube_has_them_up_to_auf(case):
    met = twin.renamed(twin.after(twin.SOLVED, twin.inverse(case.algorithms[0])))
    home = [{name[0] for name in place.split()} for place in PLACES]

    def belongs(colours: str) -> dict[int, int]:
        shown = [{colours[twin.NUMBER[n]] for n in place.split()} for place in PLACES]
        return {here: home.index(piece) for here, piece in enumerate(shown)}

    start = belongs(met)
    # An AUF makes each piece belong one slot on, in the same kind.
    turned = [
        {here: (there + n) % 4 + there // 4 * 4 for here, there in start.items()} for n in range(4)
    ]
    moved = [sum(here != there for here, there in way.items()) for way in turned]
    got = homeward(case.key)

    assert got in turned
    assert sum(here != there for here, there in got.items()) == min(moved)


def test_nothing_moves_in_a_solved_layer():
    assert all(here == there for here, there in homeward(SOLVED_KEY).items())


# How many pieces move, AUF aside. Common practice, no source.
@pytest.mark.parametrize(
    ("letters", "n_moved"),
    [("Ua", 3), ("Ub", 3), ("Aa", 3), ("Ab", 3), ("H", 4), ("Z", 4), ("E", 4), ("T", 4), ("F", 4),
     ("Ja", 4), ("Jb", 4), ("Ra", 4), ("Rb", 4), ("Na", 4), ("Nb", 4), ("V", 4), ("Y", 4),
     ("Ga", 6), ("Gb", 6), ("Gc", 6), ("Gd", 6)],
)  # fmt: skip
def test_as_many_pieces_of_a_permutation_move_as_the_trade_draws(letters, n_moved):
    moves = homeward(find_case(f"PLL {letters}").key)

    assert sum(here != there for here, there in moves.items()) == n_moved


@pytest.mark.parametrize("letters", ["Ga", "Gb", "Gc", "Gd"])
def test_a_g_is_drawn_as_two_cycles_of_three(letters):
    # Common practice, no source.
    moves = homeward(find_case(f"PLL {letters}").key)
    for pieces in (range(4), range(4, 8)):
        moving = {piece for piece in pieces if moves[piece] != piece}
        assert len(moving) == 3
        assert {moves[moves[moves[piece]]] == piece for piece in moving} == {True}


IDS = [*CASES, *(CaseId(stage, SKIP) for stage in Stage)]


@pytest.mark.parametrize("case", IDS, ids=str)
def test_an_id_is_read_back_from_what_it_is_written_as(case):
    assert CaseId.parse(str(case)) == CaseId.parse(f"  {str(case).lower()} ") == case
    assert CaseId.read(case.stage.value, case.text) == case
    assert type(CaseId.read(case.stage.value, case.text).number) is type(case.number)


@pytest.mark.parametrize(
    ("stage", "number"),
    [("oll", "58"), ("oll", "0"), ("oll", "027"), ("oll", "T"), ("pll", "27"), ("pll", "t"),
     ("OLL", "27"), ("cross", "1"), ("", ""), ("oll", "")],
)  # fmt: skip
def test_two_texts_that_name_no_case_are_refused(stage, number):
    with pytest.raises(CaseNameError, match="No case is called") as refused:
        CaseId.read(stage, number)
    assert (refused.value.code, refused.value.token) == ("unknown_case", f"{stage} {number}")


@pytest.mark.parametrize("text", ["skip", "SKIP", "oll", "", "27 oll"])
def test_a_skip_is_an_id_only_with_its_stage(text):
    with pytest.raises(CaseNameError):
        CaseId.parse(text)
    with pytest.raises(CaseNameError):
        find_case("oll skip")
