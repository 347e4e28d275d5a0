"""One stage of the last layer as it is to be read, and why it may be read otherwise."""

from collections.abc import Iterable
from itertools import pairwise
from typing import Any

from logs.demo.algorithms import by_signature, n_turns, signature
from logs.demo.cube import SOLVED
from logs.demo.last_layer import Done
from logs.demo.recognise import (
    corner_permutation,
    edge_step,
    is_oriented,
    is_permuted,
    only_corners,
    shown,
)
from logs.demo.recording import Turn
from logs.demo.stages import last_layer_up
from logs.demo.trail import Trail


class StageTruth:
    """One stage of the last layer: the case and what was done about it."""

    def __init__(
        self, trail: Trail, looks: Iterable[Done], stage: str, begin: int, goal: int | None
    ) -> None:
        self.trail = trail
        self.stage = stage
        self.begin = begin
        self.goal = goal
        done = [look for look in looks if look.stage == stage]
        self.looks = [(look, *self._span(look)) for look in done]

    def _span(self, look: Done) -> tuple[int, int]:
        """After how many recorded turns the look's algorithm begins and ends."""
        return self.trail.after[look.begin], self.trail.after[look.end]

    def values(self) -> dict[str, Any]:
        """The truth of the stage."""
        state = self.trail.up(self.begin)
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
            known = self.trail.is_timed and self.goal is not None
            values[key] = sum(look[key] for look in values["looks"]) if known else None
        return values

    def _look(self, look: Done, before: int, start: int, end: int) -> dict[str, Any]:
        trail = self.trail
        is_book = look.plan.slip != "false_start"
        values: dict[str, Any] = {
            "goal": look.plan.goal,
            "outcome": self._outcome(look),
            "algorithm": look.plan.entry.name if is_book else None,
            "recognition_ms": trail.between(before, before + 1),
            "execution_ms": trail.between(before + 1, end),
            "lining_up_ms": 0 if trail.is_timed else None,
            "lining_up_turns": start - before,
            "misfire": None,
        }
        if start > before:
            values["lining_up_ms"] = trail.between(before + 1, start)
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
        homes = [self.trail.is_home(index) for index in range(begin, len(self.trail.positions))]
        return any(back and not out for out, back in pairwise(homes))

    def _is_short(self, end: int, start: int) -> bool:
        """Whether the rest from ``end`` to the first turn after ``start`` is no hesitation."""
        rest = self.trail.between(end, start + 1)
        return rest is not None and self.trail.limit is not None and rest < self.trail.limit

    def _departures(self, start: int, end: int) -> list[int]:
        """After which turns from ``start`` on the first two layers, being home, were left."""
        homes = [index for index in range(start, end) if self.trail.is_home(index)]
        return [
            index
            for index in homes
            if index + 1 not in homes and self.trail.turns[index].face != (self.trail.cross + 3) % 6
        ]

    def _reads_as_two(self, look: Done, start: int, end: int) -> bool:
        if look.plan.entry.case == look.shown and end == self.goal:
            return False
        if self.stage == "oll" and not self.trail.is_timed and self._outcome(look) == "edges":
            return False
        homes = [i for i in range(start + 1, end) if self.trail.is_home(i)]
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
            state = self.trail.up(leave)
            if self.stage == "pll" and not is_oriented(state):
                continue
            case = shown(self.stage, state)[0]
            turns = self._named_up(leave, self.goal)
            form = signature(turns)
            entry = by_signature().get(form)
            if entry is not None and entry.case == case and n_turns(turns) == sum(map(len, form)):
                return True
        return False

    def _named_up(self, begin: int, end: int) -> list[tuple[int, int]]:
        """Turns as they are named with the last layer up."""
        rotation = last_layer_up(self.trail.cross)
        held = SOLVED if rotation is None else rotation(SOLVED)
        at = {held[9 * face + 4]: face for face in range(6)}
        turns: tuple[Turn, ...] = self.trail.turns[begin:end]
        return [(at[turn.face], turn.quarters) for turn in turns]
