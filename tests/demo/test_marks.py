"""Marks made of the demo club's turn times give the same one-look splits, and no others.

The truth is the turn times themselves: where a stage took one look, its recognition and execution
are read from them to the ms, and marks at the same moments must say the same.
"""

from itertools import islice

import pytest

from cubecore.book import default_book
from cubecore.cases import SKIP
from cubecore.errors import CubeError
from cubecore.replay import replay_row
from cubecore.results import LastLayerStage, Replay
from cubecore.rows import Marks, parse_row
from tests.demo.reading import FOLDER, read_log

BOOK = default_book()


def marks_of(result: Replay) -> Marks:
    """The five moments as a stopwatch would have them: none for a stage that was skipped."""
    assert result.oll is not None
    has_oll = result.oll.case != SKIP
    has_pll = result.pll is not None and result.pll.case != SKIP
    f2l, oriented, permuted = result.f2l_turn, result.oriented_turn, result.permuted_turn
    assert f2l is not None

    def at(turn: int | None, is_there: bool) -> int | None:
        return result.time_after(turn) if is_there else None

    return Marks(
        f2l=at(f2l, f2l > 0),
        oll_turn=at(f2l + 1, has_oll),
        oll=at(oriented, has_oll),
        pll_turn=at(None if oriented is None else oriented + 1, has_pll),
        pll=at(permuted, has_pll),
    )


def splits(stage: LastLayerStage) -> tuple[int | None, int | None]:
    return stage.recognition_ms, stage.execution_ms


@pytest.mark.parametrize("log", ["juno.csv", "kestrel.jsonl"])
def test_marks_split_what_turn_times_split_in_one_look(log):
    n_one_look = n_more = 0
    for _, values in islice(read_log(FOLDER / "logs" / log), 250):
        try:
            row = parse_row(values)
            timed = replay_row(row, BOOK)
        except CubeError:
            continue
        if timed.oll is None or timed.times is None:
            continue
        by_marks = replay_row(row._replace(turn_ms=None, mark_ms=marks_of(timed)), BOOK)
        assert by_marks.f2l_ms == timed.f2l_ms
        for stage, expected in ((by_marks.oll, timed.oll), (by_marks.pll, timed.pll)):
            if stage is None or expected is None:
                continue
            assert (stage.case, stage.stage_ms) == (expected.case, expected.stage_ms)
            if len(stage.looks) == 1 and stage.is_reached:
                n_one_look += 1
                assert splits(stage) == splits(expected)
            elif len(stage.looks) > 1:
                n_more += 1
                assert splits(stage) == (None, None)
    assert n_one_look > 100
    assert n_more > 10
