"""A row to its replay: how it ended, its stages, its cases and looks, to the millisecond."""

from collections.abc import Sequence
from typing import NamedTuple

from cubecore.algorithms import TURNS_TO_UP
from cubecore.book import Book
from cubecore.cases import OLL, PLL, SKIP, LastLayer, Stage, label
from cubecore.compact import TurnedRow, read_turns
from cubecore.cube import Places, walk
from cubecore.endings import STATUS_OF_PENALTY, Status, end_status, scrambled
from cubecore.looks import Excursion, LookContext, find_excursions, stage_looks
from cubecore.marks import marked
from cubecore.results import Kind, LastLayerStage, NoSplits, Reason, Replay
from cubecore.rows import Penalty, Row
from cubecore.skips import last_pair_skip, orientation_skip
from cubecore.stages import Milestones, find_milestones
from cubecore.turn_times import TurnTimes, hidden_positions, measure_times, tied_positions
from cubecore.turns import NO_TURNS, Turns, renamed
from cubecore.united import unite_half_turns

ENGINE_VERSION = "4"


# By keyword at half the cost of calling the class.
_SOLVE = Kind.SOLVE
_new_stage, _new_replay, _new_context = LastLayerStage.__new__, Replay.__new__, LookContext.__new__


class AfterF2L(NamedTuple):
    """What there is to read of a last layer.

    Attributes:
        milestones: The stages up to F2L.
        layer: The last layer when F2L was home.
        excursions: From then on, to the end.
    """

    milestones: Milestones
    layer: LastLayer
    excursions: list[Excursion]


def replay_row(row: Row, book: Book) -> Replay:
    """The replay of ``row``, with ``book`` to name its algorithms.

    Raises:
        NotationError: Scramble or solution is not notation; ``field`` says which.
        RowError: The scramble is empty or leaves the cube solved, or times or marks do not fit.
        NotSolvedError: The solution does not solve the scramble and the row is no DNF.
    """
    result = replay_turns(read_turns(row), book)
    return result if row.mark_ms is None else marked(result, row.mark_ms, row.time_ms)


def replay_turns(row: TurnedRow, book: Book) -> Replay:
    """The replay of a row whose texts are read; `replay_row` for those that are not.

    Raises:
        RowError: The scramble is empty or leaves the cube solved.
        NotSolvedError: The solution does not solve the scramble and the row is no DNF.
    """
    start = scrambled(row.scramble)
    if row.turns is None:
        return replay_without_turns(row.penalty)
    times = measure_times(row.ends)
    tied = tied_positions(row.turns, times) if times.ties else []
    united = unite_half_turns(row, tied) if tied else None
    if united is not None:
        times = measure_times(united.row.ends)
        tied = tied_positions(united.row.turns or NO_TURNS, times)
        result = _replay_as_read(united.row, start, times, tied, book)
        return restore_counts(result, row, united.counts)
    return _replay_as_read(row, start, times, tied, book)


def _replay_as_read(
    row: TurnedRow, start: Places, times: TurnTimes, tied: Sequence[int], book: Book
) -> Replay:
    """The replay of a row with turns, each of them looked at as it is."""
    turns = row.turns or NO_TURNS
    positions = walk(start, turns)
    status = end_status(row, start, positions[-1])
    hidden = hidden_positions(turns, row.mid_slices, times, tied)
    after = _after_f2l(positions, find_milestones(positions, hidden))
    return finish_replay(status=status, turns=turns, times=times, after=after, book=book)


def _after_f2l(positions: list[Places], milestones: Milestones | None) -> AfterF2L | None:
    if milestones is None:
        return None
    last = milestones.last
    layer = label(positions[milestones.f2l_turn], last)
    excursions = find_excursions(positions, milestones.home, milestones.f2l_turn, last)
    return AfterF2L(milestones, layer, excursions)


def finish_replay(
    *, status: Status, turns: Turns, times: TurnTimes, after: AfterF2L | None, book: Book
) -> Replay:
    """The replay of a solution that was followed up to F2L, and through what left it.

    Args:
        status: How it ended.
        turns: Its outer turns.
        times: Their times.
        after: What there is to read of the last layer; None when F2L never came home.
        book: To name algorithms by.
    """
    if after is not None and after.milestones.is_built:
        milestones, layer, excursions = after
        up_turns = renamed(turns, TURNS_TO_UP[milestones.last])
        context = _new_context(
            LookContext,
            turns=up_turns,
            layer=layer,
            excursions=excursions,
            times=times.look_ends,
            hesitation_ms=times.hesitation_ms,
            book=book,
        )
        return _with_last_layer(context, milestones, status, turns, times)
    return Replay(
        status=status,
        kind=Kind.SOLVE,
        reason=Reason.NOT_LAYER_BY_LAYER if after else Reason.F2L_NOT_REACHED,
        turns=turns,
        times=times.ends,
        hesitation_ms=times.hesitation_ms,
        no_splits=NoSplits.COARSE_CLOCK if times.is_coarse else None,
    )


def restore_counts(result: Replay, row: TurnedRow, counts: Sequence[int]) -> Replay:
    """The replay of a row, made from its half turns united, in the turns that the row has.

    Args:
        result: The replay of the united row.
        row: The row itself.
        counts: For each number of turns of the united row how many of the row's own those are.
    """

    def restored(turn: int | None) -> int | None:
        return None if turn is None else counts[turn]

    return result._replace(
        cross_turn=restored(result.cross_turn),
        pair_turns=tuple([counts[turn] for turn in result.pair_turns]),
        f2l_turn=restored(result.f2l_turn),
        oriented_turn=restored(result.oriented_turn),
        permuted_turn=restored(result.permuted_turn),
        oll=_restored_stage(result.oll, counts),
        pll=_restored_stage(result.pll, counts),
        turns=row.turns or NO_TURNS,
        times=row.ends,
    )


def _restored_stage(stage: LastLayerStage | None, counts: Sequence[int]) -> LastLayerStage | None:
    if stage is None:
        return None
    looks = [look._replace(start=counts[look.start], end=counts[look.end]) for look in stage.looks]
    return stage._replace(looks=tuple(looks))


def replay_without_turns(penalty: Penalty) -> Replay:
    """The replay of a row that has no solution."""
    return Replay(status=STATUS_OF_PENALTY[penalty], reason=Reason.NO_SOLUTION)


def _with_last_layer(
    context: LookContext, milestones: Milestones, status: Status, turns: Turns, times: TurnTimes
) -> Replay:
    """The replay of a solve whose F2L came home, with its cases and looks."""
    f2l_turn, layer = milestones.f2l_turn, context.layer
    oll, oriented = _stage(context, OLL, f2l_turn, layer, times)
    if oll.case == SKIP:
        oll = oll._replace(skip=last_pair_skip(context, milestones))
    pll = permuted = None
    if oriented is not None:
        layer = context.label_at(oriented)
        pll, permuted = _stage(context, PLL, oriented, layer, times)
        if pll.case == SKIP:
            pll = pll._replace(skip=oll.skip or orientation_skip(context, oll.looks))
    return _new_replay(
        Replay,
        status=status,
        kind=_SOLVE if f2l_turn else Kind.DRILL,
        cross=milestones.cross,
        cross_turn=milestones.cross_turn,
        pair_turns=milestones.pair_turns,
        f2l_turn=f2l_turn,
        oriented_turn=oriented,
        permuted_turn=permuted,
        oll=oll,
        pll=pll,
        turns=turns,
        times=times.ends,
        hesitation_ms=times.hesitation_ms,
        no_splits=NoSplits.COARSE_CLOCK if times.is_coarse else None,
    )


def _stage(
    context: LookContext, stage: Stage, begin: int, layer: LastLayer, times: TurnTimes
) -> tuple[LastLayerStage, int | None]:
    """The stage that begins after ``begin`` turns with ``layer``, and the turn of its goal."""
    case, angle = (layer.oll, layer.oll_angle) if stage is OLL else (layer.pll, layer.pll_angle)
    assert case is not None
    assert angle is not None
    looks, goal = stage_looks(context, stage, begin, layer)
    stage_ms = recognition_ms = execution_ms = None
    if goal is not None and times.ends is not None:
        ends = times.ends
        stage_ms = (ends[goal - 1] if goal else 0) - (ends[begin - 1] if begin else 0)
        if not times.is_coarse:
            recognition_ms = sum([look.recognition_ms or 0 for look in looks])
            execution_ms = stage_ms - recognition_ms
    sighting = _new_stage(
        LastLayerStage,
        case=case,
        angle=angle,
        skip=None,
        looks=tuple(looks),
        stage_ms=stage_ms,
        recognition_ms=recognition_ms,
        execution_ms=execution_ms,
        is_reached=goal is not None,
        edge_step=layer.edge_step,
        corner_step=layer.corner_step,
        permutation_step=layer.permutation_step,
        position=layer.position,
    )
    return sighting, goal
