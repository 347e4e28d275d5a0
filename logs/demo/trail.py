"""A recorded attempt, position by position: what was home when, by the demo's own cube."""

from collections.abc import Callable
from itertools import pairwise
from statistics import median_low

from logs.demo.cube import SOLVED, State, apply, fixed_token
from logs.demo.recognise import is_oriented, is_permuted
from logs.demo.recording import Recording
from logs.demo.solver import Attempt
from logs.demo.stages import is_f2l_home, last_layer_up

HESITATION_GAPS = 2.5
"""A pause is a hesitation from this multiple of the solve's low median gap on."""


class Trail:
    """One recorded attempt, followed position by position.

    Attributes:
        turns: The recorded turns.
        after: For each token made (and the start), how many turns had been recorded.
        is_timed: Whether the log has times.
        cross: The cross colour that the solver chose.
        positions: Every position, the scramble's first.
        limit: From how many ms on a pause is a hesitation; None without times.
        f2l: After how many turns the first two layers were home; None when they never were.
        goals: The same for the layer oriented (``oll``) and permuted (``pll``).
    """

    def __init__(self, attempt: Attempt, recording: Recording) -> None:
        self.turns = recording.turns
        self.after = recording.after
        self.is_timed = recording.turn_ms is not None
        self.cross = attempt.cross
        self.positions = self._walk(apply(SOLVED, attempt.scramble))
        self.limit = self._hesitation_ms()
        self.f2l = self.first(0, lambda s: is_f2l_home(s, self.cross))
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

    def first(self, begin: int, is_reached: Callable[[State], bool]) -> int | None:
        """After how many turns, from ``begin`` on, a position is what is asked for."""
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
