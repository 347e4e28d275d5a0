"""A row to its replay: how it ended, its stages, its cases and looks, to the millisecond."""

from operator import sub
from typing import NamedTuple

from cubecore.algorithms import TURNS_TO_UP
from cubecore.book import Book
from cubecore.cases import SKIP, EdgeStep, LastLayer, PermutationStep, Stage, label
from cubecore.compact import TurnedRow, read_turns
from cubecore.cube import SOLVED, TURN_TABLES, Places, after_turns, walk
from cubecore.errors import NotSolvedError, RowError
from cubecore.hints import hold_hint
from cubecore.looks import Excursion, Look, LookContext, find_excursions, stage_looks
from cubecore.rows import Penalty, Row
from cubecore.stages import Milestones, find_milestones, pairs_before_f2l
from cubecore.turn_times import hidden_positions, measure_times
from cubecore.turns import NO_TURNS, Face, Turns, renamed
from cubecore.words import Word

ENGINE_VERSION = "1"


class Status(Word):
    """How a row ended."""

    SOLVED = "solved"
    PLUS_TWO = "plus_two"
    DNF = "dnf"
    NOT_SOLVED = "not_solved"
    REFUSED = "refused"


class Kind(Word):
    """A whole solve, or last-layer practice from a scramble that leaves F2L home."""

    SOLVE = "solve"
    DRILL = "drill"


class Reason(Word):
    """Why a row has no last-layer sighting."""

    NO_SOLUTION = "no_solution"
    F2L_NOT_REACHED = "f2l_not_reached"
    NOT_LAYER_BY_LAYER = "not_layer_by_layer"


class LastLayerStage(NamedTuple):
    """One of the two stages of the last layer: the sighting of its case.

    Attributes:
        case: OLL number, PLL letters, or ``"skip"``.
        angle: Clockwise quarter turns of the layer to the case's reference hold; 0 for a skip.
        looks: What was done, in order; none for a skip.
        recognition_ms: Sum over the looks; None without times or when the goal was not reached.
        execution_ms: The same; the two add up to the stage.
        is_reached: Whether the stage's goal was reached.
        edge_step: The edges' orientation when the stage began.
        corner_step: The corners' orientation then, as `cases.LastLayer.corner_step`.
        permutation_step: The corners' permutation then.
        position: The whole last layer then, AUF and hold aside.
    """

    case: int | str
    angle: int
    looks: tuple[Look, ...]
    recognition_ms: int | None
    execution_ms: int | None
    is_reached: bool
    edge_step: EdgeStep
    corner_step: int
    permutation_step: PermutationStep
    position: int


class Replay(NamedTuple):
    """A labelled row. Turn counts are outer turns of the solution made so far; times are ms.

    Attributes:
        status: How it ended.
        kind: Solve or drill; None without a solution.
        cross: Face of the cross; None when F2L was never reached.
        cross_turn: When the cross was home.
        pair_turns: When 1, 2, 3 and 4 pairs were home.
        f2l_turn: When F2L was home.
        oriented_turn: When the last layer was oriented.
        permuted_turn: When it was solved up to AUF.
        oll: The OLL stage; None where there is no sighting.
        pll: The PLL stage; the same.
        reason: Why there is no sighting, or None.
        turns: The solution's outer turns, in the fixed frame.
        times: The end of each of ``turns``, or None.
        hesitation_ms: From which pause on a gap counts as a hesitation, or None.
    """

    status: Status
    kind: Kind | None = None
    cross: Face | None = None
    cross_turn: int | None = None
    pair_turns: tuple[int, ...] = ()
    f2l_turn: int | None = None
    oriented_turn: int | None = None
    permuted_turn: int | None = None
    oll: LastLayerStage | None = None
    pll: LastLayerStage | None = None
    reason: Reason | None = None
    turns: Turns = NO_TURNS
    times: tuple[int, ...] | None = None
    hesitation_ms: float | None = None

    def time_after(self, turn: int | None) -> int | None:
        """The ms at which ``turn`` turns had been made; None when unknown."""
        if turn is None or self.times is None:
            return None
        return self.times[turn - 1] if turn else 0

    @property
    def hesitations(self) -> tuple[int, ...]:
        """The turns (indices) that came after a hesitation."""
        if self.times is None or self.hesitation_ms is None:
            return ()
        gaps = map(sub, self.times[1:], self.times)
        return tuple([i for i, gap in enumerate(gaps, start=1) if gap >= self.hesitation_ms])

    @property
    def f2l_ms(self) -> int | None:
        """The time at which F2L was home."""
        return self.time_after(self.f2l_turn)

    @property
    def final_auf_ms(self) -> int | None:
        """From the layer solved up to AUF to the end of the last turn."""
        permuted = self.time_after(self.permuted_turn)
        if permuted is None or self.times is None:
            return None
        return self.times[-1] - permuted


class AfterF2L(NamedTuple):
    """What there is to read of a last layer.

    Attributes:
        found: The stages up to F2L.
        shown: The last layer when F2L was home.
        excursions: From then on, to the end.
    """

    found: Milestones
    shown: LastLayer
    excursions: list[Excursion]


def replay_row(row: Row, book: Book) -> Replay:
    """The replay of ``row``, with ``book`` to name its algorithms.

    Raises:
        NotationError: Scramble or solution is not notation; ``field`` says which.
        RowError: The scramble is empty or leaves the cube solved, or the times do not fit.
        NotSolvedError: The solution does not solve the scramble and the row is no DNF.
    """
    return replay_turns(read_turns(row), book)


def replay_turns(row: TurnedRow, book: Book) -> Replay:
    """The replay of a row whose texts are read; `replay_row` for those that are not.

    Raises:
        RowError: The scramble is empty or leaves the cube solved.
        NotSolvedError: The solution does not solve the scramble and the row is no DNF.
    """
    start = scrambled(row.scramble)
    if row.turns is None:
        return replay_without_turns(row.penalty)
    positions = list(walk(start, row.turns))
    status = end_status(row, start, positions[-1])
    times = measure_times(row.ends)
    hidden = hidden_positions(row.turns, row.mid_slices, times)
    after = _after_f2l(positions, find_milestones(positions, hidden))
    return finish_replay(
        status=status,
        turns=row.turns,
        times=times.ends,
        hesitation_ms=times.hesitation_ms,
        after=after,
        book=book,
    )


def _after_f2l(positions: list[Places], found: Milestones | None) -> AfterF2L | None:
    if found is None:
        return None
    shown = label(positions[found.f2l_turn], found.last)
    excursions = find_excursions(positions, found.home, found.f2l_turn, found.last)
    return AfterF2L(found, shown, excursions)


def finish_replay(
    *,
    status: Status,
    turns: Turns,
    times: tuple[int, ...] | None,
    hesitation_ms: float | None,
    after: AfterF2L | None,
    book: Book,
) -> Replay:
    """The replay of a solution that was followed up to F2L, and through what left it.

    Args:
        status: How it ended.
        turns: Its outer turns.
        times: The end of each in ms, or None.
        hesitation_ms: From which pause on a gap is a hesitation, or None.
        after: What was found; None when F2L never came home.
        book: To name algorithms by.
    """
    if after is not None and not _is_no_layer_method(after):
        found, shown, excursions = after
        up_turns = renamed(turns, TURNS_TO_UP[found.last])
        context = LookContext(
            turns=up_turns,
            shown=shown,
            excursions=excursions,
            times=times,
            hesitation_ms=hesitation_ms,
            book=book,
        )
        return _with_last_layer(context, found, status, turns)
    return Replay(
        status=status,
        kind=Kind.SOLVE,
        reason=Reason.NOT_LAYER_BY_LAYER if after else Reason.F2L_NOT_REACHED,
        turns=turns,
        times=times,
        hesitation_ms=hesitation_ms,
    )


def _is_no_layer_method(after: AfterF2L) -> bool:
    """Whether F2L came home only in the turn that solved everything, with too few pairs before."""
    found, shown, _ = after
    return found.f2l_turn > 0 and shown.pll == SKIP and pairs_before_f2l(found) < 3


def scrambled(turns: Turns) -> Places:
    """The position that a scramble leads to.

    Raises:
        RowError: It is solved.
    """
    start = after_turns(SOLVED, turns)
    if start == SOLVED:
        raise RowError(
            "scramble_solved",
            "scramble: it leaves the cube solved; give the turns that mixed it.",
            field="scramble",
        )
    return start


def replay_without_turns(penalty: Penalty) -> Replay:
    """The replay of a row that has no solution."""
    return Replay(status=STATUS_OF_PENALTY[penalty], reason=Reason.NO_SOLUTION)


STATUS_OF_PENALTY = {
    Penalty.NONE: Status.SOLVED,
    Penalty.PLUS_TWO: Status.PLUS_TWO,
    Penalty.DNF: Status.DNF,
}


def end_status(row: TurnedRow, start: Places, end: Places) -> Status:
    """How a solution ended that led from ``start`` to ``end``.

    Raises:
        NotSolvedError: It does not solve the scramble and the row is no DNF.
    """
    if row.penalty is Penalty.DNF or end == SOLVED:
        return STATUS_OF_PENALTY[row.penalty]
    off_by_one = any(end.translate(table) == SOLVED for table in TURN_TABLES)
    if off_by_one and row.penalty is Penalty.PLUS_TWO:
        return Status.PLUS_TWO
    if off_by_one:
        raise NotSolvedError(
            "off_by_one",
            "solution: one turn is missing at the end; if the solve got a +2, say so in penalty.",
            field="solution",
        )
    raise NotSolvedError(
        "not_solved",
        "solution: its turns do not solve this scramble"
        + hold_hint(start, row.turns or NO_TURNS, row.hold),
        field="solution",
    )


def _with_last_layer(
    context: LookContext, found: Milestones, status: Status, turns: Turns
) -> Replay:
    """The replay of a solve whose F2L came home, with its cases and looks."""
    oll, oriented = _stage(context, Stage.OLL, found.f2l_turn)
    pll = permuted = None
    if oriented is not None:
        pll, permuted = _stage(context, Stage.PLL, oriented)
    return Replay(
        status=status,
        kind=Kind.SOLVE if found.f2l_turn else Kind.DRILL,
        cross=found.cross,
        cross_turn=found.cross_turn,
        pair_turns=found.pair_turns,
        f2l_turn=found.f2l_turn,
        oriented_turn=oriented,
        permuted_turn=permuted,
        oll=oll,
        pll=pll,
        turns=turns,
        times=context.times,
        hesitation_ms=context.hesitation_ms,
    )


def _stage(context: LookContext, stage: Stage, begin: int) -> tuple[LastLayerStage, int | None]:
    """The stage that begins after ``begin`` turns, and the turn that reached its goal."""
    shown = context.label_at(begin)
    is_oll = stage is Stage.OLL
    case, angle = (shown.oll, shown.oll_angle) if is_oll else (shown.pll, shown.pll_angle)
    assert case is not None
    assert angle is not None
    looks, goal = stage_looks(context, stage, begin, shown)
    recognition_ms = execution_ms = None
    if goal is not None and context.times is not None:
        recognition_ms = sum([look.recognition_ms or 0 for look in looks])
        execution_ms = context.time_at(goal) - context.time_at(begin) - recognition_ms
    sighting = LastLayerStage(
        case=case,
        angle=angle,
        looks=tuple(looks),
        recognition_ms=recognition_ms,
        execution_ms=execution_ms,
        is_reached=goal is not None,
        edge_step=shown.edge_step,
        corner_step=shown.corner_step,
        permutation_step=shown.permutation_step,
        position=shown.position,
    )
    return sighting, goal
