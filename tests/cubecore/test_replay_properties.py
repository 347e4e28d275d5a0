"""What holds of every solve: stages as the slow cube finds them, and splits that add up."""

from itertools import accumulate

from hypothesis import given, settings
from hypothesis import strategies as st

from cubecore.book import Book, default_book
from cubecore.endings import Status
from cubecore.replay import replay_row
from cubecore.results import Reason, Replay
from cubecore.rows import Penalty, Row
from tests.cubecore import twin
from tests.cubecore.naive_stages import find_stages
from tests.cubecore.solves import TURNS, outer, typed_solves


def plain_row(turns: list[str], **fields: object) -> Row:
    """A row of outer turns alone, untimed."""
    row = Row(scramble=twin.inverse(" ".join(turns)), time_ms=10_000, solution=" ".join(turns))
    return row._replace(**fields)  # type: ignore[arg-type]  # any field of a row


def positions_of(row: Row) -> list[str]:
    assert row.solution is not None
    start = twin.after(twin.SOLVED, row.scramble)
    return list(accumulate(row.solution.split(), twin.after, initial=start))


def stages_of(result: Replay) -> tuple[object, ...]:
    return (
        None if result.cross is None else result.cross.name,
        result.cross_turn,
        result.pair_turns,
        result.f2l_turn,
        result.oriented_turn,
        result.permuted_turn,
    )


@settings(max_examples=100, deadline=None)
@given(typed_solves())
def test_stages_are_those_the_slow_cube_finds(solve):
    row = plain_row(outer(solve.solution).split())
    result = replay_row(row, default_book())
    found = find_stages(positions_of(row))

    assert found is not None
    if result.reason is Reason.NOT_LAYER_BY_LAYER:
        assert not found.is_built
    else:
        assert found.is_built
        assert stages_of(result) == (
            found.cross,
            found.cross_turn,
            found.pair_turns,
            found.f2l_turn,
            found.oriented_turn,
            found.permuted_turn,
        )


@settings(max_examples=60, deadline=None)
@given(typed_solves(), st.data())
def test_a_dnf_is_labelled_up_to_where_it_stopped(solve, data):
    turns = outer(solve.solution).split()
    kept = data.draw(st.integers(0, len(turns)))
    row = plain_row(turns, solution=" ".join(turns[:kept]) or "//", penalty=Penalty.DNF)
    row = row._replace(scramble=twin.inverse(" ".join(turns)))
    result = replay_row(row, default_book())
    found = find_stages(positions_of(row._replace(solution=" ".join(turns[:kept]))))

    assert result.status is Status.DNF
    if found is None:
        assert result.reason is Reason.F2L_NOT_REACHED
        assert (result.cross, result.oll, result.pll) == (None, None, None)
    elif result.reason is not None:
        assert result.reason is Reason.NOT_LAYER_BY_LAYER
        assert not found.is_built
    else:
        assert stages_of(result)[3:] == (found.f2l_turn, found.oriented_turn, found.permuted_turn)
        assert result.oll is not None
        assert (result.pll is None) == (found.oriented_turn is None)


@settings(max_examples=200, deadline=None)
@given(typed_solves(), st.booleans())
def test_splits_add_up_to_the_last_turn(solve, has_book):
    result = replay_row(solve.row(), default_book() if has_book else Book(()))
    if result.oll is None or result.pll is None:
        assert result.reason is not None
        return
    total = result.f2l_ms
    assert total is not None
    for stage in (result.oll, result.pll):
        assert stage.recognition_ms is not None
        assert stage.execution_ms is not None
        assert stage.recognition_ms == sum(look.recognition_ms or 0 for look in stage.looks)
        assert stage.execution_ms == sum(look.execution_ms or 0 for look in stage.looks)
        total += stage.recognition_ms + stage.execution_ms
    assert result.final_auf_ms is not None
    assert total + result.final_auf_ms == solve.turn_ms[-1]


@settings(max_examples=200, deadline=None)
@given(typed_solves())
def test_looks_follow_one_another_without_gap_or_overlap(solve):
    result = replay_row(solve.row(), default_book())
    if result.oll is None or result.pll is None or result.f2l_turn is None:
        return
    before = result.f2l_turn
    for stage, goal in ((result.oll, result.oriented_turn), (result.pll, result.permuted_turn)):
        for look in stage.looks:
            assert before <= look.start < look.end
            assert look.lining_up_turns <= look.start - before  # half turns may be two in a log
            assert look.lining_up_ms is not None
            assert look.execution_ms is not None
            assert look.recognition_ms is not None
            assert 0 <= look.lining_up_ms <= look.execution_ms
            assert look.recognition_ms >= 0
            assert look.turns <= look.end - look.start
            before = look.end
        assert before == goal
        assert (stage.case == "skip") == (not stage.looks)
        assert all(look.outcome != "finished" for look in stage.looks[:-1])
        assert all(look.outcome == "finished" for look in stage.looks[-1:])


@settings(max_examples=100, deadline=None)
@given(typed_solves())
def test_without_times_there_are_labels_and_no_splits(solve):
    timed = solve.row()
    result = replay_row(timed._replace(turn_ms=None), default_book())
    with_times = replay_row(timed, default_book())

    assert result.times is None
    assert result.f2l_ms is None
    assert result.final_auf_ms is None
    assert result.hesitations == ()
    for stage in (result.oll, result.pll):
        if stage is not None:
            assert (stage.recognition_ms, stage.execution_ms) == (None, None)
            assert {look.recognition_ms for look in stage.looks} <= {None}
    if timed.turn_ms is not None and len(set(timed.turn_ms)) == len(timed.turn_ms):
        assert result.oll is None or with_times.oll is not None
        if result.oll is not None and with_times.oll is not None:
            assert result.oll.case == with_times.oll.case


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(TURNS), min_size=1, max_size=6), st.sampled_from(TURNS))
def test_one_turn_short_is_a_plus_two_and_nothing_else(turns, last):
    whole = [*turns, last]
    if twin.is_solved(twin.after(twin.SOLVED, " ".join(whole))):
        return
    row = plain_row(whole, solution=" ".join(turns), penalty=Penalty.PLUS_TWO)
    row = row._replace(scramble=twin.inverse(" ".join(whole)))

    assert replay_row(row, default_book()).status is Status.PLUS_TWO
