"""Many rows at once are replayed as each is alone: labels, times and refusals."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cubecore import batch
from cubecore.batch import replay_batch
from cubecore.book import Book, default_book
from cubecore.compact import compact_row
from cubecore.endings import Status
from cubecore.errors import CubeError
from cubecore.notation import MAX_TOKENS
from cubecore.replay import replay_row
from cubecore.results import Reason, Replay
from cubecore.rows import Penalty, Row
from tests.cubecore import twin
from tests.cubecore.handmade import EDGES, JB_PERM, PAIR, SUNE, Stretch, timed_row
from tests.cubecore.made_solves import (
    METHODS,
    NOT_LAYERED,
    STYLES,
    is_mixed,
    layered,
    logged_row,
)
from tests.cubecore.solves import HOLDS, held_anew, outer, typed_solves
from tests.cubecore.some_rows import all_sorts_of_rows, demo_rows


def alone(row: Row, book: Book) -> object:
    try:
        return replay_row(row, book)
    except CubeError as error:
        return told(error)


def told(result: Replay | CubeError) -> object:
    """A refusal as what it says; a replay as it is."""
    if isinstance(result, CubeError):
        return type(result), result.code, result.message, result.field
    return result


def together(rows: list[Row], book: Book) -> list[object]:
    return [told(result) for result in replay_batch([compact_row(row) for row in rows], book)]


@settings(max_examples=150)
@given(st.lists(all_sorts_of_rows(), max_size=8), st.booleans())
def test_rows_together_are_replayed_as_each_is_alone(rows, has_book):
    book = default_book() if has_book else Book(())
    assert together(rows, book) == [alone(row, book) for row in rows]


def readable(rows: tuple[Row, ...]) -> list[Row]:
    kept = []
    for row in rows:
        try:
            compact_row(row)
        except CubeError:
            continue
        kept.append(row)
    return kept


def test_every_row_of_the_demo_club_is_replayed_as_it_is_alone():
    rows = readable(demo_rows())
    assert len(rows) > 5_000
    found = together(rows, default_book())
    wrong = [
        row for row, result in zip(rows, found, strict=True) if result != alone(row, default_book())
    ]
    assert wrong == []
    seen = {result.reason for result in found if isinstance(result, Replay)}
    assert seen >= {None, Reason.NO_SOLUTION, Reason.F2L_NOT_REACHED}


@pytest.mark.parametrize("style", STYLES)
def test_solves_of_all_methods_and_instruments_are_replayed_as_each_is_alone(style):
    # Quarter turns at one time or not, coarse clocks, blocks, corners first: those of the second
    # reading.
    rng = random.Random(style)
    made = [layered(rng, method) for method in METHODS for _ in range(4)]
    made += [make(rng) for make in NOT_LAYERED for _ in range(4)]
    rows = [logged_row(one, rng, style) for one in made if is_mixed(one)]
    found = together(rows, default_book())
    assert found == [alone(row, default_book()) for row in rows]
    reasons = {result.reason for result in found if isinstance(result, Replay)}
    assert reasons == {None, Reason.NOT_LAYER_BY_LAYER}


@settings(max_examples=40)
@given(typed_solves(), st.sampled_from(HOLDS), st.integers(0, 99))
def test_typed_felt_and_held_otherwise_a_solve_has_one_replay(solve, hold, seed):
    turns = outer(solve.solution)
    typed = solve.row()._replace(solution=turns, turn_ms=None)
    held = typed._replace(solution=f"{hold} {held_anew(turns, hold)}")
    first, second = together([typed, held], default_book())
    assert first == second
    felt = solve.sensor_row(random.Random(seed))
    assert together([felt, solve.row()], default_book())[0] == alone(felt, default_book())


def test_rows_keep_their_order_from_one_chunk_to_the_next(monkeypatch):
    monkeypatch.setattr(batch, "CHUNK", 3)
    rows = readable(demo_rows()[:100])
    random.Random(4).shuffle(rows)
    assert together(rows, default_book()) == [alone(row, default_book()) for row in rows]


def row_of(
    scramble: str,
    solution: str | None = None,
    turn_ms: tuple[int, ...] | None = None,
    *,
    penalty: Penalty = Penalty.NONE,
) -> Row:
    return Row(scramble=scramble, time_ms=900, penalty=penalty, solution=solution, turn_ms=turn_ms)


def _solved_by(solution: str) -> Row:
    return row_of(twin.inverse(outer(solution)), solution)


def test_no_rows_are_no_replays():
    assert replay_batch([], default_book()) == []


@pytest.mark.parametrize(
    "row",
    [
        pytest.param(row_of("R", "//", penalty=Penalty.DNF), id="no turn made"),
        pytest.param(row_of("R", "U", (0,), penalty=Penalty.DNF), id="one turn, at 0 ms"),
        pytest.param(row_of("R", "R R'  R'", (5, 5, 5)), id="all at once"),
        pytest.param(row_of("R R'", "U U'"), id="scramble undone"),
        pytest.param(row_of("R R'"), id="scramble undone, no solution"),
        pytest.param(row_of("", "U", penalty=Penalty.DNF), id="no scramble"),
        pytest.param(row_of("R U", "U'", penalty=Penalty.PLUS_TWO), id="off by one with +2"),
        pytest.param(row_of("R U", "U'"), id="off by one without"),
        pytest.param(row_of("R U", "x U' R'"), id="wrong hold"),
        # Half way through M F2L is home (tests/cubecore/test_replay.py), but nobody sees that.
        pytest.param(_solved_by(f"M L x {SUNE}"), id="home in the middle of a slice"),
        pytest.param(row_of("M", " ".join(["M"] * (MAX_TOKENS - 1))), id="longest, slices"),
        pytest.param(
            timed_row(
                Stretch(3_599_000, PAIR),
                Stretch(0, SUNE),
                Stretch(200, EDGES),
                Stretch(70, JB_PERM),
            ),
            id="an hour",
        ),
    ],
)
def test_rows_at_the_edges_are_replayed_as_alone(row):
    other = timed_row(Stretch(500, PAIR), Stretch(300, SUNE))
    for rows in ([row], [other, row, other]):
        assert together(rows, default_book()) == [alone(one, default_book()) for one in rows]


def test_a_skip_of_everything_is_told_from_another_method():
    # Domain rule (common practice): three pairs before, or it was not solved layer by layer.
    three_before = row_of("R U R'", "R U' R'")
    (result,) = replay_batch([compact_row(three_before)], default_book())
    assert isinstance(result, Replay)
    assert (result.status, result.reason) == (Status.SOLVED, None)
    assert result.oll is not None
    assert result.oll.case == "skip"
    (other,) = replay_batch([compact_row(row_of("R F L", "L' F' R'"))], default_book())
    assert isinstance(other, Replay)
    assert other.reason is Reason.NOT_LAYER_BY_LAYER
