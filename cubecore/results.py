"""What a replay holds: its two last-layer stages, its stages up to there, its times."""

from operator import sub
from typing import NamedTuple

from cubecore.cases import EdgeStep, PermutationStep
from cubecore.endings import Status
from cubecore.looks import Look
from cubecore.skips import SkipOrigin
from cubecore.turns import NO_TURNS, Face, Turns
from cubecore.words import Word


class Kind(Word):
    """A whole solve, or last-layer practice from a scramble that leaves F2L home."""

    SOLVE = "solve"
    DRILL = "drill"


class Reason(Word):
    """Why a row has no last-layer sighting."""

    NO_SOLUTION = "no_solution"
    F2L_NOT_REACHED = "f2l_not_reached"
    NOT_LAYER_BY_LAYER = "not_layer_by_layer"


class NoSplits(Word):
    """Why a row with times has those of whole stages alone."""

    COARSE_CLOCK = "coarse_clock"


class LastLayerStage(NamedTuple):
    """One of the two stages of the last layer: the sighting of its case.

    Attributes:
        case: OLL number, PLL letters, or ``"skip"``.
        angle: Clockwise quarter turns of the layer to the case's reference hold; 0 for a skip.
        skip: How a skip came; None where there was a case.
        looks: What was done, in order; none for a skip.
        stage_ms: How long it took; None without times or when the goal was not reached.
        recognition_ms: Sum over the looks; None where ``stage_ms`` is, or the clock is coarse.
        execution_ms: The same; the two add up to the stage.
        is_reached: Whether the stage's goal was reached.
        edge_step: The edges' orientation when the stage began.
        corner_step: The corners' orientation then, as `cases.LastLayer.corner_step`.
        permutation_step: The corners' permutation then.
        position: The whole last layer then, AUF and hold aside.
    """

    case: int | str
    angle: int
    skip: SkipOrigin | None
    looks: tuple[Look, ...]
    stage_ms: int | None
    recognition_ms: int | None
    execution_ms: int | None
    is_reached: bool
    edge_step: EdgeStep
    corner_step: int
    permutation_step: PermutationStep
    position: int


class MarkTimes(NamedTuple):
    """What marks say of a solve beside its two stages.

    Attributes:
        moments: When stages ended, in ms, by how many turns had been made; None for an unmarked one.
        final_auf_ms: From the layer solved up to AUF to the timer's reading; 0 where no turn was
            made in between, None where that was not marked or not reached.
    """

    moments: dict[int, int | None]
    final_auf_ms: int | None

    def after(self, turn: int | None) -> int | None:
        """When ``turn`` turns had been made; None where no mark says so."""
        return None if turn is None else self.moments.get(turn)


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
        no_splits: Why looks have no times though turns have; None where they have, or neither.
        marks: What five marks say in the place of ``times``, or None.
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
    no_splits: NoSplits | None = None
    marks: MarkTimes | None = None

    def time_after(self, turn: int | None) -> int | None:
        """The ms at which ``turn`` turns had been made; None when unknown."""
        if turn is None or self.times is None:
            return None if self.marks is None else self.marks.after(turn)
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
        if self.marks is not None:
            return self.marks.final_auf_ms
        permuted = self.time_after(self.permuted_turn)
        if permuted is None or self.times is None:
            return None
        return self.times[-1] - permuted
