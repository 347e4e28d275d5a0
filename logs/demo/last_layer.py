"""The last layer as a member solves it: look, decide, line up, execute, look again."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from random import Random

from logs.demo.algorithms import CaseName, Entry, entries, entry_of, undone
from logs.demo.cube import State, apply, spell
from logs.demo.fate import Fate, GaveUpError
from logs.demo.first_layers import is_home
from logs.demo.hand import Hand, Tempo
from logs.demo.members import Member, case_of
from logs.demo.recognise import (
    corner_permutation,
    edge_step,
    is_permuted,
    likely_auf,
    n_angles,
    right_auf,
    shown,
    turned,
)

_DOT, _BAR, _ANGLE = (
    entry_of("F R U R' U' F' f R U R' U' f'"),
    entry_of("F R U R' U' F'"),
    entry_of("f R U R' U' f'"),
)
_EDGES = {"dot": _DOT, "bar": _BAR, "angle": _ANGLE}
_CLEAR_GAPS = 3.6
"""A pause between two looks is at least so many usual gaps, but for the borderline ones."""


@dataclass
class Plan:
    """What the solver decides to do: a goal (``case``, ``edges``, ``corners``), how, and the slip.

    Attributes:
        goal: What the look is meant to do.
        entry: The algorithm.
        auf: Clockwise quarter turns of the layer before it.
        slip: ``mix_up``, ``wrong_hold``, ``false_start`` or None.
    """

    goal: str
    entry: Entry
    auf: int
    slip: str | None = None


@dataclass(frozen=True)
class Done:
    """A look as it was made; indices count tokens made.

    Attributes:
        stage: ``oll`` or ``pll``.
        plan: What it was.
        shown: The case that was seen.
        missing: For a wrong hold, the AUF that was missing, less the case's own symmetry.
        begin: Where its algorithm begins.
        end: Where its algorithm ends.
        before: The cube after lining up.
        after: The cube at its end.
        is_borderline: Whether the pause before it was meant to be about a hesitation's length.
    """

    stage: str
    plan: Plan
    shown: CaseName
    missing: int
    begin: int
    end: int
    before: State
    after: State
    is_borderline: bool


@dataclass
class LastLayer:
    """One attempt's last layer."""

    member: Member
    day: date
    hand: Hand
    tempo: Tempo
    rng: Random
    fate: Fate
    cross: int
    done: list[Done] = field(default_factory=list)

    def solve(self) -> None:
        """Orient, permute, and turn the layer home.

        Raises:
            GaveUpError: The fate has it so.
        """
        for stage in ("oll", "pll"):
            self.hand.section(stage.upper())
            slips = 0
            looks = 0
            while (case := shown(stage, self.hand.state)[0]) is not None:
                plan = self._choose(stage, case)
                if slips < 2:
                    self._slip(plan, case)
                self._look(stage, plan, case, looks, after_slip=slips > 0)
                slips += plan.slip is not None
                looks += 1
        self._final_auf()

    def _choose(self, stage: str, case: CaseName) -> Plan:
        state = self.hand.state
        if self.member.knows(case, self.day):
            entry = self.member.entry_by_case[case]
            return Plan("case", entry, right_auf(entry, state))
        if stage == "oll":
            entry = _EDGES[edge_step(state)]
            return Plan("edges", entry, self._auf_to(entry, lambda s: edge_step(s) == "oriented"))
        is_diagonal = corner_permutation(state) == "diagonal"
        entry = self.member.entry_by_case["pll", self.member.corners[is_diagonal]]
        return Plan(
            "corners", entry, self._auf_to(entry, lambda s: corner_permutation(s) == "none")
        )

    def _auf_to(self, entry: Entry, is_reached: Callable[[State], bool]) -> int:
        """The first AUF after which ``entry`` reaches what is wanted."""
        return next(auf for auf in range(4) if is_reached(entry.move(turned(self.hand.state, auf))))

    def _slip(self, plan: Plan, case: CaseName) -> None:
        """Let the plan go wrong, at the member's rates."""
        if plan.goal == "case":
            weeks = self.member.weeks_known(case, self.day)
            fresh = 2.0 if weeks is not None and weeks < 4 else 1.0
            for mix_up in self.member.mix_ups:
                if case_of(mix_up.shown) == case and self.rng.random() < mix_up.rate * fresh:
                    plan.entry = self.member.entry_by_case[case_of(mix_up.done)]
                    plan.auf = likely_auf(plan.entry, self.hand.state)
                    plan.slip = "mix_up"
                    return
        for wrong in self.member.wrong_holds:
            if case_of(wrong.case) == plan.entry.case and self.rng.random() < wrong.rate:
                plan.auf = (plan.auf + wrong.quarter_turns) % 4
                plan.slip = "wrong_hold"
                return
        if self.rng.random() < 0.004:
            plan.slip = "false_start"

    def _look(
        self, stage: str, plan: Plan, case: CaseName, looks: int, *, after_slip: bool
    ) -> None:
        is_borderline = looks > 0 and self.rng.random() < 0.012
        wait = self._pause(plan, case, looks, after_slip=after_slip, is_borderline=is_borderline)
        state = self.hand.state
        tokens = self._lining_up(plan.auf)
        for token in tokens:
            self.hand.make(token, wait + self.tempo.gap(token, 1.1))
            wait = 0.0
        begin, before = len(self.hand.made), self.hand.state
        self._maybe_stop(stage, plan, wait)
        self._execute(plan, wait)
        missing = 0
        if plan.slip == "wrong_hold" and plan.entry.case == case:
            missing = (right_auf(plan.entry, state) - plan.auf) % n_angles(case)
        end, after = len(self.hand.made), self.hand.state
        self.done.append(Done(stage, plan, case, missing, begin, end, before, after, is_borderline))

    def _pause(
        self, plan: Plan, case: CaseName, looks: int, *, after_slip: bool, is_borderline: bool
    ) -> float:
        if is_borderline:
            return self.rng.uniform(0.4, 2.0) * self.tempo.gap_ms
        median = self.member.recognition_ms * self.member.slow.get(entries()[case][0].family, 1.0)
        weeks = self.member.weeks_known(case, self.day)
        if weeks is not None and plan.goal == "case":
            median *= 1 + 0.6 * 0.8 ** max(weeks, 0.0)
        if plan.goal != "case":
            median *= 0.85
        if after_slip:
            median = 1.4 * median + 250
        pause = self.tempo.pause(median)
        return max(pause, _CLEAR_GAPS * self.tempo.gap_ms) if looks else pause

    def _lining_up(self, auf: int) -> list[str]:
        """The turns, or the rotation, that put the case where the algorithm wants it."""
        if not auf:
            return []
        if self.rng.random() < 0.35:
            return [spell("y", auf)]
        if auf == 2 and self.rng.random() < 0.15:
            return ["U", "U"]
        return [spell("U", auf)]

    def _execute(self, plan: Plan, wait: float) -> None:
        """Make the algorithm, with a hesitation now and then."""
        tokens = list(plan.entry.tokens)
        if plan.slip == "false_start":
            tokens = tokens[:3] + undone(tokens[:3])
        stumbles_at = self.rng.randrange(1, len(tokens)) if self.rng.random() < 0.06 else 0
        for index, token in enumerate(tokens):
            if index and index == stumbles_at:
                wait += self.tempo.pause(5 * self.tempo.gap_ms, 0.3)
            self.hand.make(token, wait + self.tempo.gap(token, 0.85))
            wait = 0.0

    def _maybe_stop(self, stage: str, plan: Plan, wait: float) -> None:
        """End the attempt inside this look, if that is its fate."""
        stop = {"oll": Fate.GAVE_UP_OLL, "pll": Fate.GAVE_UP_PLL}[stage]
        botch = {"oll": Fate.BOTCHED_OLL, "pll": Fate.BOTCHED_PLL}[stage]
        if self.fate not in (stop, botch):
            return
        whole = list(plan.entry.tokens)
        cuts = range(2, self._first_home(whole))
        if self.fate is botch:
            ways = [[*whole[:at], *undone(whole[at : at + 1]), *whole[at + 1 :]] for at in cuts]
            ways = [way for way in ways if not self._leads_home(way)]
        else:
            ways = [whole[:at] for at in cuts]
        tokens = self.rng.choice(ways)
        for token in tokens:
            self.hand.make(token, wait + self.tempo.gap(token, 0.85))
            wait = 0.0
        raise GaveUpError

    def _leads_home(self, tokens: list[str]) -> bool:
        return is_home(apply(self.hand.state, tokens), self.cross)

    def _first_home(self, tokens: list[str]) -> int:
        """After how many of ``tokens`` the first two layers, once left, are home again."""
        homes = [self._leads_home(tokens[:count]) for count in range(len(tokens) + 1)]
        return homes.index(True, homes.index(False))

    def _final_auf(self) -> None:
        self.hand.section("AUF")
        state = self.hand.state
        assert is_permuted(state), "the last layer is solved but for its AUF"
        auf = next(q for q in range(4) if _is_solved(turned(state, q)))
        tokens = [spell("U", auf)] if auf else []
        if auf == 2 and self.rng.random() < 0.3:
            tokens = ["U'", "U'"]
        for token in tokens:
            self.hand.make(token, self.tempo.gap(token))


def _is_solved(state: State) -> bool:
    return all(state[n] == state[9 * (n // 9) + 4] for n in range(54))
