"""A solve and a case as plain text."""

import pytest

from cubecore.book import Book, default_book
from cubecore.cases import CASES, Stage, find_case
from cubecore.readable import case_text, solve_text
from cubecore.replay import replay_row
from cubecore.rows import Penalty, Row
from tests.cubecore import twin
from tests.cubecore.handmade import (
    ANTISUNE,
    EDGES,
    PAIR,
    SUNE,
    T_PERM,
    Stretch,
    dnf,
    timed_row,
)
from tests.cubecore.met import met_at


def lines(row: Row) -> list[str]:
    return solve_text(row, replay_row(row, default_book())).splitlines()


def line_with(row: Row, word: str) -> str:
    return next(line for line in lines(row) if word in line)


WHOLE = (Stretch(900, PAIR), Stretch(500, EDGES), Stretch(400, SUNE), Stretch(800, T_PERM))


def test_a_solve_is_a_table_of_stages_with_where_each_ended():
    row = timed_row(*WHOLE, Stretch(300, "U"))

    assert lines(row)[0] == "5.61  solved, yellow cross"
    assert line_with(row, "scramble") == f"scramble  {row.scramble}"
    assert line_with(row, "solution") == f"solution  {row.solution}"
    # Three turns of 0.9 and 0.21 s; the two looks of the orientation 0.5 + 0.52 and 0.4 + 0.62 s.
    assert line_with(row, "pair 4").split() == ["pair", "4", "1.10"]
    assert line_with(row, "look: edges").split()[2:6] == ["0.50", "0.52", "6", "F"]
    assert line_with(row, "look: finished").split()[2:5] == ["0.40", "0.62", "7"]
    assert line_with(row, "PLL T").split() == ["PLL", "T", "5.30", "0.80", "1.35"]
    assert line_with(row, "final AUF").split() == ["final", "AUF", "0.30", "5.60"]


def test_a_solve_without_times_says_that_there_are_no_splits():
    row = timed_row(*WHOLE)._replace(turn_ms=None)

    assert lines(row)[-1] == "(the log has no turn times, so there are no splits)"
    assert line_with(row, "pair 4").split() == ["pair", "4", "-"]
    assert not [line for line in lines(row) if "final AUF" in line]


def test_a_look_says_whose_algorithm_it_was():
    other = dnf(timed_row(Stretch(500, SUNE), solves=ANTISUNE))
    held = dnf(timed_row(Stretch(500, SUNE), solves=f"U {SUNE}"))
    unknown = dnf(timed_row(Stretch(500, "R U' L' U R' U' L"), solves=T_PERM))

    assert "(the algorithm of OLL 27 Sune)" in line_with(other, "look:")
    assert "(held wrongly)" in line_with(held, "look:")
    assert line_with(unknown, "look:").endswith("R U' L' U R' U' L")
    assert line_with(other, "OLL 26").endswith("not reached")


def test_each_reason_without_a_case_is_said():
    said = {
        "the log has no solution for it": Row(scramble="R U", time_ms=9000),
        "the first two layers never came home": Row(
            scramble="R U F", time_ms=9000, solution="x", penalty=Penalty.DNF
        ),
        "it was not solved layer by layer": timed_row(Stretch(500, "F' U' R' L2 B D'")),
    }
    for words, row in said.items():
        assert lines(row)[-1] == f"no last-layer case: {words}"


def test_penalties_are_said():
    row = timed_row(*WHOLE)

    assert lines(row._replace(penalty=Penalty.PLUS_TWO))[0].split("  ")[1] == "+2, yellow cross"
    assert lines(dnf(row))[0].split("  ")[1] == "DNF, yellow cross"


def test_an_orientation_is_drawn_from_above():
    text = case_text(find_case("27"), default_book())

    assert text.splitlines()[0] == "OLL 27 Sune  (cross)"
    assert text.splitlines()[1] == "comes up 4 times in 216, once in 54 solves"
    # Common practice: the Sune is held with its corner in front on the left, and each other corner's
    # colour faces the way the next one clockwise lies.
    assert text.splitlines()[3:9] == [
        "    |",
        "    + # + -",
        "    # # #",
        "    # # +",
        "        |",
        "  (the solver sits below)",
    ]
    assert f"{SUNE}  (7 HTM, 7 STM)" in text


def test_a_permutation_is_said_piece_by_piece():
    text = case_text(find_case("Ua"), default_book())

    assert "comes up 4 times in 72, once in 18 solves" in text
    moves = [line for line in text.splitlines() if " goes to " in line]
    # Counter-clockwise as it is solved; the back edge stays. From memory.
    assert moves == [
        "  front goes to right",
        "  left goes to front",
        "  right goes to left",
    ]


def test_a_case_without_an_algorithm_in_the_book_has_none_listed():
    assert "HTM" not in case_text(find_case("27"), Book(()))


@pytest.mark.parametrize("case", CASES.values(), ids=str)
def test_each_algorithm_listed_solves_the_case_as_it_is_drawn(case):
    lines = case_text(case, default_book()).splitlines()
    listed = [line.partition("  (")[0] for line in lines if " HTM" in line]

    assert len(listed) == len(default_book().algorithms(case.id))
    for text in listed:
        # The slow cube, from the position that the picture shows; a group is one turn of the layer.
        done = twin.upright(twin.after(met_at(case, 0), text.replace("(", "").replace(")", "")))
        assert twin.is_f2l_home(done), text
        assert twin.is_oriented(done), text
        if case.id.stage is Stage.PLL:
            assert any(twin.after(done, auf) == twin.SOLVED for auf in twin.AUF), text


def test_a_case_says_what_to_look_at_and_what_its_sides_show():
    text = case_text(find_case("41"), default_book())

    # Common practice: this one is held with its headlights at the back.
    assert "Turn to look: the back face's left corner is yellow, one of two headlights." in text
    assert "Back: yellow headlights, at both corners." in text
    assert "Front: a lone yellow edge." in text
    assert "Left: nothing yellow." in text
