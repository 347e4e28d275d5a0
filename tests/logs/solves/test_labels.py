"""Labels and keys of rows, without a database.

What a Sune and a T permutation do is common practice, no source; the tables' own proof is in
tests/cubecore.
"""

from hypothesis import given
from hypothesis import strategies as st

from cubecore.book import Book, default_book
from cubecore.replay import replay_row
from cubecore.rows import Penalty, Row
from logs.intake.rows import ReadRow
from logs.solves.services.labels import label_rows, sighting_labels, solve_key, solve_labels
from tests.factories import LAST_PAIR, NOW, SUNE, T_PERM, make_row


def _key(row: Row, done_at=NOW, ordinal: int = 1) -> str:
    return solve_key(row, replay_row(row, default_book()).turns, done_at, ordinal)


def _read(rows: list[Row], done_at=None) -> list[ReadRow]:
    return [ReadRow(line, "", row, done_at) for line, row in enumerate(rows, start=2)]


def test_however_it_is_spelled_a_solve_has_one_key():
    row = make_row("M U2 M'", is_timed=False)
    outer = row._replace(solution="R L' x' U2 R' L x")  # M is R L' and a rotation (Article 12)
    # A solution begins in the hold that its scramble leaves.
    held = row._replace(solution="y' z z' (M U2 M')1 // all", scramble=row.scramble + " y")
    assert _key(row) == _key(outer) == _key(held)


def test_each_part_of_the_key_tells_solves_apart():
    row = make_row(SUNE, T_PERM, is_timed=False)
    others = [
        row._replace(time_ms=row.time_ms + 1),
        row._replace(penalty=Penalty.PLUS_TWO),
        row._replace(solution=f"{row.solution} R R'"),
        make_row(T_PERM, SUNE, is_timed=False),
    ]
    keys = {_key(row), *map(_key, others), _key(row, None), _key(row, None, 2)}
    assert len(keys) == len(others) + 3


def test_note_and_turn_times_are_no_part_of_the_key():
    row = make_row(SUNE)
    assert _key(row) == _key(row._replace(note="again", turn_ms=None))


def test_undated_rows_are_numbered_among_their_like():
    row, other = make_row(SUNE, done_at=None), make_row(T_PERM, done_at=None)
    labelled = label_rows(_read([row, other, row]), book=default_book()).rows
    assert [one.key for one in labelled] == [_key(row, None), _key(other, None), _key(row, None, 2)]


def test_dated_rows_are_not_numbered():
    row = make_row(SUNE)
    first, second = label_rows(_read([row, row], NOW), book=default_book()).rows
    assert first.key == second.key


def test_what_the_engine_refuses_comes_back_as_a_problem_of_its_line():
    bad = make_row(SUNE)._replace(solution="R U", turn_ms=None)
    labelled = label_rows(_read([bad, make_row(SUNE)]), book=default_book())
    assert [one.read.line for one in labelled.rows] == [3]
    (problem,) = labelled.problems
    assert (problem.line, problem.code, problem.field) == (2, "not_solved", "solution")


def test_the_sightings_of_two_one_look_stages():
    oll, pll = sighting_labels(replay_row(make_row(LAST_PAIR, SUNE, T_PERM), default_book()))
    assert (oll["stage"], oll["case"], oll["n_looks"], oll["is_one_look"]) == ("oll", "27", 1, True)
    assert (pll["stage"], pll["case"], pll["algorithm"]) == ("pll", "T", T_PERM)
    assert (oll["recognition_ms"], oll["execution_ms"]) == (1500, 900)  # 10 gaps, then 6


def test_two_looks_name_the_finishing_algorithm_and_the_first_outcome():
    edges = "F R U R' U' F'"
    oll, _ = sighting_labels(replay_row(make_row(LAST_PAIR, edges, SUNE), default_book()))
    assert (oll["n_looks"], oll["is_one_look"]) == (2, False)
    assert (oll["first_outcome"], oll["algorithm"]) == ("edges", SUNE)
    assert [look["algorithm"] for look in oll["looks"]] == [edges, SUNE]


def test_a_misfire_names_the_case_it_was_for():
    edges = "F R U R' U' F'"  # OLL 45, common practice: it loses the edges of a Sune
    row = make_row(LAST_PAIR, edges, "F U R U' R' F'", SUNE, T_PERM)
    oll, _ = sighting_labels(replay_row(row, default_book()))
    assert oll["first_outcome"] == "misfire"
    assert (oll["misfire_kind"], oll["misfire_case"]) == ("other_case", "45")


def test_a_step_is_no_misfire():
    row = make_row(LAST_PAIR, T_PERM, SUNE, T_PERM)
    oll, _ = sighting_labels(replay_row(row, default_book()))
    assert (oll["first_outcome"], oll["misfire_kind"], oll["misfire_case"]) == ("step", "", "")


def test_a_skip_has_no_look():
    oll, pll = sighting_labels(replay_row(make_row(LAST_PAIR, T_PERM), default_book()))
    assert (oll["case"], oll["n_looks"], oll["is_one_look"]) == ("skip", 0, False)
    assert (oll["first_outcome"], oll["algorithm"]) == ("", "")
    assert pll["case"] == "T"


def test_what_a_row_cannot_tell_is_empty():
    row = make_row()._replace(solution=None, turn_ms=None)
    labels = solve_labels(replay_row(row, default_book()), default_book())
    assert (labels["kind"], labels["cross"], labels["reason"]) == ("", "", "no_solution")
    assert (labels["f2l_ms"], labels["pair_ms"]) == (None, [])


@given(st.permutations([LAST_PAIR, SUNE, T_PERM, "U", "F R U R' U' F'"]))
def test_labels_are_a_pure_function_of_row_and_book(parts):
    row = make_row(*parts)
    for book in (default_book(), Book([])):
        again = replay_row(Row(**row._asdict()), book)
        assert sighting_labels(replay_row(row, book)) == sighting_labels(again)
        assert solve_labels(again, book)["book_version"] == book.version


def test_rows_without_turns_are_told_apart_by_the_position_they_start_from():
    row = Row(scramble="R U F2", time_ms=9_990)
    assert _key(row) != _key(row._replace(scramble="R U F"))
    assert _key(row) == _key(row._replace(scramble="R  U F2' // the same position"))
