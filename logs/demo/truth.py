"""What a row is to be read as, written from what the solver did and from the demo's own cube.

Where the rules of reading leave two answers open, or where what a solver meant cannot be seen in
the log, the row says so under ``open``:

- ``short_pause``: the solver looked again after a rest shorter than a hesitation, so that two looks
  read as one;
- ``passes_f2l``: an algorithm that passes through the first two layers on its way, made for another
  end than its own case, with a stumble there or to no end at all: it reads as two looks;
- ``other_colour``: before the solver's first two layers came home, another colour's were, by
  chance: the row is read as a solve on that colour;
- ``unfinished``: an algorithm that passes through the first two layers and was not finished: its
  first part reads as a look;
- ``book_joins``: two looks that happen to be, together, the book's algorithm for the case.
"""

from typing import Any

from logs.demo.cube import COLOURS
from logs.demo.recording import Recording
from logs.demo.solver import Attempt
from logs.demo.stage_truth import StageTruth
from logs.demo.stages import is_cross_home, is_f2l_home, n_pairs_home
from logs.demo.trail import Trail


def row_truth(attempt: Attempt, recording: Recording) -> dict[str, Any]:
    """The truth of a recorded row, but for its place in the log; keys as the engine's."""
    trail = Trail(attempt, recording)
    if trail.f2l is None:
        return {"kind": "solve", "cross": None, "hesitations": trail.hesitations()}
    permuted = trail.goals["pll"]
    stages, reasons = _stages(attempt, trail)
    if _other_colour_came_first(trail, trail.f2l):
        reasons.append("other_colour")
    values = {
        "kind": "solve" if trail.f2l else "drill",
        "cross": COLOURS[trail.cross],
        "cross_ms": trail.time(trail.first(0, lambda s: is_cross_home(s, trail.cross))),
        "pair_ms": [trail.time(_pairs_turn(trail, count)) for count in (1, 2, 3, 4)],
        "f2l_ms": trail.time(trail.f2l),
        **stages,
        "final_auf_ms": None if permuted is None else trail.between(permuted, len(trail.turns)),
        "hesitations": trail.hesitations(),
    }
    return values | ({"open": reasons} if reasons else {})


def _pairs_turn(trail: Trail, count: int) -> int | None:
    """After how many turns the cross stood with at least ``count`` slots home."""
    return trail.first(0, lambda state: n_pairs_home(state, trail.cross) >= count)


def _other_colour_came_first(trail: Trail, f2l: int) -> bool:
    """Whether another colour's first two layers were home before the solver's."""
    return any(
        is_f2l_home(trail.positions[index], other)
        for index in range(f2l)
        if trail.is_seen(index)
        for other in range(6)
        if other != trail.cross
    )


def _stages(attempt: Attempt, trail: Trail) -> tuple[dict[str, Any], list[str]]:
    stages: dict[str, Any] = {"oll": None, "pll": None}
    reasons: set[str] = set()
    begin: int | None = trail.f2l
    for stage in ("oll", "pll"):
        if begin is None:
            break
        reader = StageTruth(trail, attempt.looks, stage, begin, trail.goals[stage])
        stages[stage] = reader.values()
        reasons |= reader.open_reasons()
        begin = trail.goals[stage]
    return stages, sorted(reasons)
