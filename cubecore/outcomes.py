"""What a look did to the goal of its stage, and which case's algorithm it was."""

from typing import NamedTuple

from cubecore.cases import (
    CASES,
    OLL,
    PLL,
    SKIP,
    CaseId,
    EdgeStep,
    LastLayer,
    PermutationStep,
    Stage,
)
from cubecore.words import Word


class Outcome(Word):
    """What a look did to the goal of its stage.

    Many-look methods are made of steps rightly done, so a step is never a mistake; a misfire lost
    something that stood.
    """

    FINISHED = "finished"
    EDGES = "edges"
    CORNERS = "corners"
    STEP = "step"
    REPAIR = "repair"
    MISFIRE = "misfire"


class Done(NamedTuple):
    """Whose algorithm a look was.

    Attributes:
        case: The case that the book's algorithm solves.
        quarter_turns: Where that case was shown: the AUF that was missing before it, in clockwise
            quarter turns, 0 when the hold was right. None where another was shown.
    """

    case: CaseId
    quarter_turns: int | None

    @property
    def is_right(self) -> bool:
        """Whether the case shown was done from the right hold."""
        return self.quarter_turns == 0

    @property
    def is_held_wrongly(self) -> bool:
        """Whether the case shown was done from a wrong hold."""
        return bool(self.quarter_turns)


def is_goal(stage: Stage, layer: LastLayer) -> bool:
    """Whether ``layer`` is what ``stage`` works towards."""
    return (layer.oll if stage is OLL else layer.pll) == SKIP


_OLLS: dict[int | str, CaseId] = {
    number: CaseId(Stage.OLL, number) for number in (SKIP, *range(1, 58))
}
_PLLS: dict[str | None, CaseId] = {
    str(case.number): case for case in (*CASES, CaseId(Stage.PLL, SKIP)) if case.stage is Stage.PLL
}


def case_shown(stage: Stage, layer: LastLayer) -> CaseId:
    """The case to be done: in the permute stage the OLL, where the layer is not oriented."""
    is_permuted_next = stage is PLL and layer.pll is not None
    return _PLLS[layer.pll] if is_permuted_next else _OLLS[layer.oll]


def read_outcome(stage: Stage, layer: LastLayer, after: LastLayer, done: Done | None) -> Outcome:
    """What a look did that led from ``layer`` to ``after``, short of the goal.

    Args:
        stage: The stage it was made in.
        layer: The last layer before.
        after: The last layer after.
        done: Whose algorithm it was.
    """
    if stage is OLL:
        return _orientation_outcome(layer, after)
    if layer.oll != SKIP:
        return _repair_outcome(layer, after, done)
    return _permutation_outcome(layer, after)


def _orientation_outcome(layer: LastLayer, after: LastLayer) -> Outcome:
    """Without the goal: edges, corners, a step, or the edges lost."""
    has_edges = after.edge_step is EdgeStep.ORIENTED
    if has_edges is not (layer.edge_step is EdgeStep.ORIENTED):
        return Outcome.EDGES if has_edges else Outcome.MISFIRE
    if layer.corner_step and not after.corner_step:
        return Outcome.CORNERS
    return Outcome.STEP


def _repair_outcome(layer: LastLayer, after: LastLayer, done: Done | None) -> Outcome:
    """What was done about an orientation that an earlier slip had left."""
    if after.oll == SKIP:
        return Outcome.REPAIR if done is not None and done.is_right else Outcome.STEP
    if done is not None and done.is_held_wrongly:
        return Outcome.MISFIRE
    is_lost = _orientation_outcome(layer, after) is Outcome.MISFIRE
    return Outcome.MISFIRE if is_lost else Outcome.STEP


def _permutation_outcome(layer: LastLayer, after: LastLayer) -> Outcome:
    """Without the goal, of an oriented layer: corners, edges, a step, or something lost."""
    if after.oll != SKIP:
        return Outcome.MISFIRE
    had_corners = layer.permutation_step is PermutationStep.NONE
    if after.permutation_step is PermutationStep.NONE:
        return Outcome.STEP if had_corners else Outcome.CORNERS
    had_edges, has_edges = _are_edges_placed(layer), _are_edges_placed(after)
    if had_corners or (had_edges and not has_edges):
        return Outcome.MISFIRE
    return Outcome.EDGES if has_edges and not had_edges else Outcome.STEP


def _are_edges_placed(layer: LastLayer) -> bool:
    """Whether the edges of an oriented layer, and not its corners, are home to one another."""
    assert layer.pll is not None
    return layer.pll != SKIP and CASES[CaseId(Stage.PLL, layer.pll)].family == "corners only"
