"""Five marks in the place of turn times: what they can say of a solve, and what they cannot.

The cases and looks come from the turns alone, as in a row without times. Marks split a stage that
was done in one look; of a stage of more looks they tell the whole alone, since its second
recognition hides in what follows its first turn.
"""

from typing import NoReturn

from cubecore.cases import OLL, PLL, SKIP
from cubecore.errors import RowError
from cubecore.outcomes import Outcome
from cubecore.results import LastLayerStage, MarkTimes, Replay
from cubecore.rows import MARK_NAMES, Marks


def marked(result: Replay, marks: Marks, time_ms: int) -> Replay:
    """A replay with what ``marks`` say; ``time_ms`` is the timer's reading.

    Raises:
        RowError: A mark contradicts the turns; code ``mark_of_no_stage`` or ``mark_missing``.
    """
    oll, pll = result.oll, result.pll
    if oll is None:
        _refuse("mark_of_no_stage", "the turns show no first two layers built before a last layer")
    _check(result, marks)
    f2l_ms = marks.f2l if result.f2l_turn else 0
    oll, oriented_ms = _split(oll, f2l_ms, marks.oll_turn, marks.oll)
    permuted_ms = None
    if pll is not None:
        pll, permuted_ms = _split(pll, oriented_ms, marks.pll_turn, marks.pll)
    final_auf_ms = None
    if permuted_ms is not None:
        has_auf = result.permuted_turn != len(result.turns)
        final_auf_ms = max(0, time_ms - permuted_ms) if has_auf else 0
    turns = (0, result.f2l_turn, result.oriented_turn, result.permuted_turn)
    ends = zip(turns, (0, f2l_ms, oriented_ms, permuted_ms), strict=True)
    moments = {turn: end_ms for turn, end_ms in ends if turn is not None}
    return result._replace(oll=oll, pll=pll, marks=MarkTimes(moments, final_auf_ms))


def _check(result: Replay, marks: Marks) -> None:
    """Make sure that marks stand where the turns show a stage, and that none is passed over."""
    if marks.f2l and not result.f2l_turn:
        _refuse_mark(marks, 0, "the scramble leaves the first two layers home")
    for stage, of_stage, first, end in (
        (OLL, result.oll, 1, 2),
        (PLL, result.pll, 3, 4),
    ):
        given = [n for n in (first, end) if marks[n] is not None]
        if of_stage is None or of_stage.case == SKIP:
            why = "never came to it" if of_stage is None else "skipped it"
            if given:
                _refuse_mark(marks, given[0], f"the turns {why}")
        elif end in given and not of_stage.is_reached:
            _refuse_mark(marks, end, f"the turns never ended the {stage.upper()}")
        elif stage is OLL and not given and marks.f2l is not None and marks.pll_turn is not None:
            _refuse(
                "mark_missing",
                f"the marks pass over the OLL, but the turns have one (OLL {of_stage.case})",
                "give its marks, or take out the next one too",
            )


def _refuse_mark(marks: Marks, n: int, why: str) -> NoReturn:
    what = f"mark {n + 1}, {MARK_NAMES[n]}, is {marks[n]}, but {why}"
    _refuse("mark_of_no_stage", what, "write - there")


def _refuse(code: str, what: str, mend: str = "take the marks out") -> NoReturn:
    raise RowError(code, f"mark_ms: {what}; {mend}.", field="mark_ms")


def _split(
    stage: LastLayerStage, begin_ms: int | None, first_ms: int | None, end_ms: int | None
) -> tuple[LastLayerStage, int | None]:
    """A stage with its times, and when it ended."""
    if stage.case == SKIP:
        took = None if begin_ms is None else 0
        return stage._replace(stage_ms=took, recognition_ms=took, execution_ms=took), begin_ms
    if begin_ms is None or end_ms is None:
        return stage, end_ms
    is_split = first_ms is not None and len(stage.looks) == 1
    if not is_split or stage.looks[0].outcome is not Outcome.FINISHED:
        return stage._replace(stage_ms=end_ms - begin_ms), end_ms
    assert first_ms is not None
    recognition_ms, execution_ms = first_ms - begin_ms, end_ms - first_ms
    look = stage.looks[0]._replace(
        recognition_ms=recognition_ms,
        execution_ms=execution_ms,
        lining_up_ms=None if stage.looks[0].lining_up_turns else 0,
    )
    return stage._replace(
        looks=(look,),
        stage_ms=end_ms - begin_ms,
        recognition_ms=recognition_ms,
        execution_ms=execution_ms,
    ), end_ms
