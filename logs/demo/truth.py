"""What a row is to be read as, written from what the solver did and from the demo's own cube.

Where the rules of reading leave two answers open, or where what a solver meant cannot be seen in
the log, the row says so under ``open``:

- ``short_pause``: the solver looked again after a rest shorter than a hesitation, so that two looks
  read as one;
- ``passes_f2l``: an algorithm that passes through the first two layers on its way, made for another
  end than its own case, in a log without times or with a stumble there: it reads as two looks;
- ``other_colour``: before the solver's first two layers came home, another colour's were, by
  chance: the row is read as a solve on that colour;
- ``unfinished``: an algorithm that passes through the first two layers and was not finished: its
  first part reads as a look;
- ``book_joins``: two looks that happen to be, together, the book's algorithm for the case.
"""

from collections.abc import Callable
from itertools import pairwise
from statistics import median_low
from typing import Any

from logs.demo.algorithms import by_signature, signature
from logs.demo.cube import COLOURS, SOLVED, State, apply, fixed_token
from logs.demo.last_layer import Done
from logs.demo.recognise import (
    corner_permutation,
    edge_step,
    is_oriented,
    is_permuted,
    only_corners,
    shown,
)
from logs.demo.recording import Recording, Turn
from logs.demo.solver import Attempt
from logs.demo.stages import is_cross_home, is_f2l_home, last_layer_up, n_pairs_home

HESITATION_GAPS = 2.5
"""A pause is a hesitation from this multiple of the solve's low median gap on."""


class Truth:
    """One recorded attempt, followed position by position."""

    def __init__(self, attempt: Attempt, recording: Recording) -> None:
        self.attempt = attempt
        self.turns = recording.turns
        self.after = recording.after
        self.is_timed = recording.turn_ms is not None
        self.cross = attempt.cross
        self.positions = self._walk(apply(SOLVED, attempt.scramble))
        self.limit = self._hesitation_ms()
        self.f2l = self._first(0, lambda s: is_f2l_home(s, self.cross))
        self.goals = self._goals()

    def _walk(self, state: State) -> list[State]:
        positions = [state]
        for turn in self.turns:
            state = apply(state, [fixed_token((turn.face, turn.quarters))])
            positions.append(state)
        return positions

    def is_seen(self, index: int) -> bool:
        """Whether the position after ``index`` turns is one that a hand stops at."""
        return index == 0 or not self.turns[index - 1].is_mid_slice

    def _first_pairs(self, count: int) -> int | None:
        """After how many turns the cross stood with at least ``count`` slots home."""
        return self._first(0, lambda state: n_pairs_home(state, self.cross) >= count)

    def _first(self, begin: int, is_reached: Callable[[State], bool]) -> int | None:
        for index in range(begin, len(self.positions)):
            if self.is_seen(index) and is_reached(self.positions[index]):
                return index
        return None

    def up(self, index: int) -> State:
        """The position after ``index`` turns, held last layer up as angles are counted."""
        rotation = last_layer_up(self.cross)
        state = self.positions[index]
        return state if rotation is None else rotation(state)

    def _goals(self) -> dict[str, int | None]:
        """After how many turns the layer was oriented, and permuted."""
        if self.f2l is None:
            return {"oll": None, "pll": None}
        oriented = self._first_home(self.f2l, is_oriented)
        permuted = None
        if oriented is not None:
            permuted = self._first_home(oriented, lambda s: is_oriented(s) and is_permuted(s))
        return {"oll": oriented, "pll": permuted}

    def _first_home(self, begin: int, is_reached: Callable[[State], bool]) -> int | None:
        for index in range(begin, len(self.positions)):
            if self.is_home(index) and is_reached(self.up(index)):
                return index
        return None

    def is_home(self, index: int) -> bool:
        """Whether the first two layers are home after ``index`` turns, seen from outside."""
        return self.is_seen(index) and is_f2l_home(self.positions[index], self.cross)

    def _hesitation_ms(self) -> float | None:
        gaps = [b.ms - a.ms for a, b in pairwise(self.turns) if b.ms > a.ms]
        return HESITATION_GAPS * median_low(gaps) if self.is_timed and gaps else None

    def time(self, index: int | None) -> int | None:
        """The time after ``index`` turns."""
        if index is None or not self.is_timed:
            return None
        return self.turns[index - 1].ms if index else 0

    def between(self, begin: int, end: int) -> int | None:
        """The time from ``begin`` turns to ``end`` turns."""
        start, stop = self.time(begin), self.time(end)
        return None if start is None or stop is None else stop - start

    def hesitations(self) -> list[int]:
        """The turns that came after a hesitation."""
        if self.limit is None:
            return []
        gaps = pairwise(self.turns)
        return [i for i, (a, b) in enumerate(gaps, start=1) if b.ms - a.ms >= self.limit]

    def values(self) -> dict[str, Any]:
        """The truth of the row, but for its place in the log."""
        if self.f2l is None:
            return {"kind": "solve", "cross": None, "hesitations": self.hesitations()}
        pairs = [self._first_pairs(count) for count in (1, 2, 3, 4)]
        permuted = self.goals["pll"]
        stages, reasons = self._stages()
        if self._other_colour_came_first(self.f2l):
            reasons.append("other_colour")
        values = {
            "kind": "solve" if self.f2l else "drill",
            "cross": COLOURS[self.cross],
            "cross_ms": self.time(self._first(0, lambda s: is_cross_home(s, self.cross))),
            "pair_ms": [self.time(index) for index in pairs],
            "f2l_ms": self.time(self.f2l),
            **stages,
            "final_auf_ms": None if permuted is None else self.between(permuted, len(self.turns)),
            "hesitations": self.hesitations(),
        }
        return values | ({"open": reasons} if reasons else {})

    def _other_colour_came_first(self, f2l: int) -> bool:
        """Whether another colour's first two layers were home before the solver's."""
        return any(
            is_f2l_home(self.positions[index], other)
            for index in range(f2l)
            if self.is_seen(index)
            for other in range(6)
            if other != self.cross
        )

    def _stages(self) -> tuple[dict[str, Any], list[str]]:
        stages: dict[str, Any] = {"oll": None, "pll": None}
        reasons: set[str] = set()
        begin: int | None = self.f2l
        for stage in ("oll", "pll"):
            if begin is None:
                break
            reader = StageTruth(self, stage, begin, self.goals[stage])
            stages[stage] = reader.values()
            reasons |= reader.open_reasons()
            begin = self.goals[stage]
        return stages, sorted(reasons)


class StageTruth:
    """One stage of the last layer: the case and what was done about it."""

    def __init__(self, truth: Truth, stage: str, begin: int, goal: int | None) -> None:
        self.truth = truth
        self.stage = stage
        self.begin = begin
        self.goal = goal
        done = [look for look in truth.attempt.looks if look.stage == stage]
        self.looks = [(look, *self._span(look)) for look in done]

    def _span(self, look: Done) -> tuple[int, int]:
        """After how many recorded turns the look's algorithm begins and ends."""
        return self.truth.after[look.begin], self.truth.after[look.end]

    def values(self) -> dict[str, Any]:
        """The truth of the stage."""
        state = self.truth.up(self.begin)
        case, angle = shown(self.stage, state)
        values: dict[str, Any] = {"case": case[1] if case else "skip", "angle": angle}
        values["edge_step"] = edge_step(state)
        if self.stage == "pll":
            values["permutation_step"] = corner_permutation(state)
        before = self.begin
        values["looks"] = []
        for look, start, end in self.looks:
            values["looks"].append(self._look(look, before, start, end))
            before = end
        for key in ("recognition_ms", "execution_ms"):
            known = self.truth.is_timed and self.goal is not None
            values[key] = sum(look[key] for look in values["looks"]) if known else None
        return values

    def _look(self, look: Done, before: int, start: int, end: int) -> dict[str, Any]:
        truth = self.truth
        is_book = look.plan.slip != "false_start"
        values: dict[str, Any] = {
            "goal": look.plan.goal,
            "outcome": self._outcome(look),
            "algorithm": look.plan.entry.name if is_book else None,
            "recognition_ms": truth.between(before, before + 1),
            "execution_ms": truth.between(before + 1, end),
            "lining_up_ms": 0 if truth.is_timed else None,
            "lining_up_turns": start - before,
            "misfire": None,
        }
        if start > before:
            values["lining_up_ms"] = truth.between(before + 1, start)
        if values["outcome"] == "misfire" and is_book:
            values["misfire"] = self._misfire(look)
        if look.plan.slip:
            values["slip"] = look.plan.slip
        if look.is_borderline:
            values["borderline"] = True
        return values

    def _misfire(self, look: Done) -> dict[str, Any]:
        stage, number = look.plan.entry.case
        if look.plan.entry.case != look.shown:
            return {"kind": "other_case", "stage": stage, "case": number, "quarter_turns": None}
        return {
            "kind": "wrong_hold", "stage": stage, "case": number, "quarter_turns": look.missing,
        }  # fmt: skip

    def _outcome(self, look: Done) -> str:
        before, after = look.before, look.after
        if self.stage == "oll":
            if is_oriented(after):
                return "finished"
            is_step = edge_step(after) == "oriented" != edge_step(before)
            return "edges" if is_step else "misfire"
        if is_permuted(after):
            return "finished"
        if corner_permutation(after) == "none":
            return "misfire" if corner_permutation(before) == "none" else "corners"
        return "edges" if only_corners(after) and not only_corners(before) else "misfire"

    def open_reasons(self) -> set[str]:
        """Why the looks may be read otherwise than they were meant."""
        reasons = set()
        for (_, _, end), (_, start, _) in pairwise(self.looks):
            if self._is_short(end, start):
                reasons.add("short_pause")
        for look, start, end in self.looks:
            if self._reads_as_two(look, start, end):
                reasons.add("passes_f2l")
        if self._comes_back_unplanned():
            reasons.add("unfinished")
        if self._book_joins():
            reasons.add("book_joins")
        return reasons

    def _comes_back_unplanned(self) -> bool:
        """Whether an algorithm that was never finished had passed through the first two layers."""
        if self.goal is not None:
            return False
        begin = self.looks[-1][2] if self.looks else self.begin
        homes = [self.truth.is_home(index) for index in range(begin, len(self.truth.positions))]
        return any(back and not out for out, back in pairwise(homes))

    def _is_short(self, end: int, start: int) -> bool:
        """Whether the rest from ``end`` to the first turn after ``start`` is no hesitation."""
        rest = self.truth.between(end, start + 1)
        return rest is not None and self.truth.limit is not None and rest < self.truth.limit

    def _departures(self, start: int, end: int) -> list[int]:
        """After which turns from ``start`` on the first two layers, being home, were left."""
        homes = [index for index in range(start, end) if self.truth.is_home(index)]
        return [
            index
            for index in homes
            if index + 1 not in homes and self.truth.turns[index].face != (self.truth.cross + 3) % 6
        ]

    def _reads_as_two(self, look: Done, start: int, end: int) -> bool:
        if look.plan.entry.case == look.shown and end == self.goal:
            return False
        homes = [i for i in range(start + 1, end) if self.truth.is_home(i)]
        for leave in self._departures(start + 1, end):
            back = next(i for i in homes if all(j in homes for j in range(i, leave + 1)))
            if not self._is_short(back, leave):
                return True
        return False

    def _book_joins(self) -> bool:
        """Whether the book knows more than the last look, up to the goal, as one algorithm."""
        if self.goal is None or not self.looks:
            return False
        for leave in self._departures(self.begin, self.looks[-1][1]):
            state = self.truth.up(leave)
            if self.stage == "pll" and not is_oriented(state):
                continue
            case = shown(self.stage, state)[0]
            entry = by_signature().get(signature(self._named_up(leave, self.goal)))
            if entry is not None and entry.case == case:
                return True
        return False

    def _named_up(self, begin: int, end: int) -> list[tuple[int, int]]:
        """Turns as they are named with the last layer up."""
        rotation = last_layer_up(self.truth.cross)
        held = SOLVED if rotation is None else rotation(SOLVED)
        at = {held[9 * face + 4]: face for face in range(6)}
        turns: tuple[Turn, ...] = self.truth.turns[begin:end]
        return [(at[turn.face], turn.quarters) for turn in turns]
