"""Cross and pairs as a member makes them: rotations, triggers, and a pause before each pair."""

from dataclasses import dataclass
from random import Random

from logs.demo.cross import cross_distance, cross_turns, rotation_down
from logs.demo.cube import COLOURS, State, apply, spell
from logs.demo.fate import Fate, GaveUpError
from logs.demo.hand import Hand, Tempo
from logs.demo.members import Member
from logs.demo.pairs import Action, open_slots, plan, renamed


@dataclass
class FirstLayers:
    """One attempt's way to the first two layers."""

    member: Member
    hand: Hand
    tempo: Tempo
    rng: Random
    fate: Fate

    def hold_cross_down(self) -> str:
        """Turn the cube, before the timer, to the colour whose cross is shortest; its name."""
        ways = {colour: self._way_down(colour) for colour in self.member.colours}
        lengths = {
            colour: cross_distance(apply(self.hand.state, way)) for colour, way in ways.items()
        }
        colour = min(lengths, key=lambda name: lengths[name])
        self.hand.section("inspection")
        for token in ways[colour]:
            self.hand.inspect(token)
        return colour

    def _way_down(self, colour: str) -> list[str]:
        way = [rotation_down(self.hand.state, COLOURS.index(colour))]
        if way == ["x2"] and self.rng.random() < 0.4:
            way = ["z2"]
        if self.rng.random() < 0.35:
            way.append(self.rng.choice(("y", "y'", "y2")))
        return [token for token in way if token]

    def cross(self) -> None:
        """Solve the cross.

        Raises:
            GaveUpError: The fate has it so.
        """
        self.hand.section("cross")
        turns = cross_turns(self.hand.state, self.rng, self.member.sloppiness)
        gives_up = self.fate is Fate.GAVE_UP_CROSS and len(turns) > 1
        for index, token in enumerate(turns[: len(turns) // 2] if gives_up else turns):
            wait = self.tempo.gap(token, 1.1)
            wait += self.tempo.pause(250) if index == 0 else 0
            if self.rng.random() < self.member.sloppiness:
                wait += self.tempo.pause(self.member.pair_ms * 0.6)
            self.hand.make(token, wait)
        if gives_up:
            raise GaveUpError

    def pairs(self) -> None:
        """Solve the four pairs.

        Raises:
            GaveUpError: The fate has it so.
        """
        gives_up_at = self.rng.randrange(4) if self.fate is Fate.GAVE_UP_PAIRS else 9
        done = 0
        while slots := open_slots(self.hand.state):
            self.hand.section(f"pair {done + 1}")
            looseness = 2 + 14 * self.member.sloppiness
            slot = min(slots, key=lambda s: self._cost(s) + looseness * self.rng.random())
            if done >= gives_up_at:
                self._act(plan(self.hand.state, slot)[1], slot, n_turns=2, is_first=True)
                raise GaveUpError
            self._pair(slot)
            done += 1

    def _cost(self, slot: int) -> float:
        return plan(self.hand.state, slot)[0]

    def _pair(self, slot: int) -> None:
        is_first = True
        while slot in open_slots(self.hand.state):
            slot = self._act(plan(self.hand.state, slot)[1], slot, n_turns=9, is_first=is_first)
            is_first = False

    def _act(self, action: Action, slot: int, *, n_turns: int, is_first: bool) -> int:
        """Do ``action``; the name of ``slot`` in the hold afterwards."""
        pause = self.tempo.pause(self.member.pair_ms * (1.0 if is_first else 0.35))
        trigger = renamed(action.trigger, slot)
        steps = self._rotation(trigger, (action.slot + slot) % 4)
        tokens = [spell("y", steps)] if steps else []
        tokens += [action.auf] if action.auf else []
        if len(tokens) == 2 and self.rng.random() < 0.5:
            tokens.reverse()
        tokens += renamed(trigger, -steps)
        for token in tokens[:n_turns]:
            self.hand.make(token, pause + self.tempo.gap(token))
            pause = 0.0
        return (slot - steps) % 4

    def _rotation(self, trigger: tuple[str, ...], slot: int) -> int:
        """How many ``y`` to turn before ``trigger`` in ``slot``, so that the hands reach it."""
        faces = {token[0] for token in trigger} - {"U"}
        if len(faces) == 2:
            return slot
        face = next(iter(faces))
        if face in "RL":
            return 0
        if self.rng.random() < (0.3 if face == "F" else 0.04):
            return 0
        # The face comes to the right or the left; better with the slot in front than behind.
        steps = {"F": {0: 1, 3: 3}, "B": {1: 1, 2: 3}}[face]
        return steps[slot]


def is_home(state: State, cross: int) -> bool:
    """Whether the first two layers of the cross colour ``cross`` are home, however held."""
    token = rotation_down(state, cross)
    state = apply(state, [token] if token else [])
    return cross_distance(state) == 0 and not open_slots(state)
