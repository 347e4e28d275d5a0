"""A solver's hands: turns made one after another on a cube, each with the time it ended."""

from dataclasses import dataclass, field
from math import log
from random import Random

from logs.demo.cube import Outer, State, mover, outer_turns

SHORTEST_MS = 30


@dataclass(frozen=True)
class Made:
    """A token as it was made: the end of it in ms, and what it turned of the outer layers."""

    token: str
    end_ms: int
    outer: tuple[Outer, ...]


@dataclass
class Tempo:
    """How fast the hands are and how long the head takes, on one day.

    Attributes:
        rng: Where chance comes from.
        gap_ms: The usual time from the end of a turn to the end of the next.
    """

    rng: Random
    gap_ms: float

    def gap(self, token: str, pace: float = 1.0) -> float:
        """Time for ``token``, in the flow of a trigger or an algorithm."""
        slow = 1.2 if "2" in token else 1.0
        slow *= 1.3 if token[0] in "MESxyz" else 1.0
        return self.gap_ms * pace * slow * self.rng.lognormvariate(0, 0.16)

    def pause(self, median_ms: float, spread: float = 0.35) -> float:
        """Time to see and decide."""
        return self.rng.lognormvariate(log(median_ms), spread)


@dataclass
class Hand:
    """A cube in somebody's hands, and everything done to it so far."""

    state: State
    made: list[Made] = field(default_factory=list)
    clock_ms: float = 0.0
    sections: list[tuple[int, str]] = field(default_factory=list)

    def make(self, token: str, wait_ms: float) -> None:
        """Make ``token``, which ends ``wait_ms`` after what came before."""
        self.clock_ms += max(wait_ms, SHORTEST_MS)
        outer = outer_turns(self.state, token)
        self.state = mover(token)(self.state)
        self.made.append(Made(token, round(self.clock_ms), outer))

    def inspect(self, token: str) -> None:
        """Turn the whole cube before the timer runs."""
        self.state = mover(token)(self.state)
        self.made.append(Made(token, 0, ()))

    def section(self, name: str) -> None:
        """Begin a part of the solve, as somebody who writes it down would part it."""
        self.sections.append((len(self.made), name))

    def drop_last_rotations(self) -> None:
        """Leave out rotations after the last turn: nobody makes them once the timer stands."""
        while self.made and not self.made[-1].outer:
            del self.made[-1]

    def take_back_last(self) -> bool:
        """Leave out the last turn, unless it was a slice; whether it could be left out."""
        can_be = len(self.made[-1].outer) == 1
        if can_be:
            del self.made[-1]
            self.drop_last_rotations()
        return can_be
