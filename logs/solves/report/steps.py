"""A solution token by token: what is drawn and said after each."""

from dataclasses import dataclass

from cubecore.cube import SOLVED, after_turns
from cubecore.notation import parse_script, parse_tokens
from cubecore.pictures import colour_letters
from cubecore.replay import LastLayerStage, Replay
from cubecore.turns import hold_with_up
from logs.words import case_title


@dataclass(frozen=True, slots=True)
class Step:
    """The solve after a token; step 0 is the scrambled cube.

    Attributes:
        token: The token, in its normal spelling; empty at step 0.
        n_turns: Outer turns made so far.
        at_ms: When the token's turn ended; None without times.
        letters: The 54 colours around the solver, as `cubecore.pictures.colour_letters` has them.
        part: The part of the solve the token belongs to.
        pause_ms: The hesitation before it, or None.
    """

    token: str
    n_turns: int
    at_ms: int | None
    letters: str
    part: str
    pause_ms: int | None


@dataclass(frozen=True, slots=True)
class Milestone:
    """The end of a part.

    Attributes:
        name: What the part is called.
        n_turns: The outer turns made by its end.
        sighting: The case it shows, for OLL and PLL.
        is_reached: Whether its goal was reached.
    """

    name: str
    n_turns: int
    sighting: LastLayerStage | None = None
    is_reached: bool = True

    @property
    def case_name(self) -> str:
        """Its case, such as ``PLL T``, or its name where it has none."""
        if self.sighting is None:
            return self.name
        return case_title(self.name.partition(",")[0].lower(), str(self.sighting.case))


def milestones(result: Replay) -> tuple[Milestone, ...]:
    """The ends of the parts of a replay, in order; the last one is the end of the solution."""
    ends: list[tuple[str, int | None, LastLayerStage | None]] = [("Cross", result.cross_turn, None)]
    ends += [(f"Pair {k}", turn, None) for k, turn in enumerate(result.pair_turns, start=1)]
    ends += [("OLL", result.oriented_turn, result.oll), ("PLL", result.permuted_turn, result.pll)]
    known = [Milestone(name, turn, stage) for name, turn, stage in ends if turn is not None]
    return (*known, _last_milestone(result))


def _last_milestone(result: Replay) -> Milestone:
    """The last part: the final AUF, or what the solve ended in."""
    n_turns = len(result.turns)
    if result.permuted_turn is not None:
        return Milestone("Final AUF", n_turns)
    for name, stage in (("PLL", result.pll), ("OLL", result.oll)):
        if stage is not None:
            return Milestone(f"{name}, not finished", n_turns, stage, is_reached=False)
    return Milestone("The rest", n_turns)


def part_after(marks: tuple[Milestone, ...], n_turns: int) -> str:
    """The part that the turn number ``n_turns`` (1-based) belongs to."""
    return next((mark.name for mark in marks if n_turns <= mark.n_turns), marks[-1].name)


def is_written_with_holds(solution: str) -> bool:
    """Whether the solution turns the cube in the hand: rotations, wide turns or slices."""
    return any(token.base not in "URFDLB" for token in parse_tokens(solution))


def solve_steps(scramble: str, solution: str, result: Replay) -> tuple[Step, ...]:
    """The steps of a solution that was replayed to ``result``.

    A solution without rotations, as sensors write it, is drawn with the last layer up; all others
    are drawn as they were held.
    """
    start = parse_script(scramble)
    places = after_turns(SOLVED, start.turns)
    written = is_written_with_holds(solution)
    up = start.hold if written or result.cross is None else hold_with_up(result.cross.opposite)
    marks = milestones(result)
    pauses = _pauses(result)
    hold, n_turns = start.hold, 0
    steps = [
        Step("", 0, 0 if result.times else None, colour_letters(places, up), "Scrambled", None)
    ]
    for token in parse_tokens(solution):
        made = parse_script(token.text, hold)
        places, hold = after_turns(places, made.turns), made.hold
        pause_ms = pauses.get(n_turns) if made.turns else None
        n_turns += len(made.turns)
        seen = hold if written else up
        # A rotation belongs to what it leads up to.
        part = part_after(marks, n_turns if made.turns else n_turns + 1)
        at_ms = result.time_after(n_turns)
        steps.append(Step(token.text, n_turns, at_ms, colour_letters(places, seen), part, pause_ms))
    return tuple(steps)


def _pauses(result: Replay) -> dict[int, int]:
    """The length in ms of each hesitation, by the index of the turn after it."""
    if result.times is None:
        return {}
    return {i: result.times[i] - result.times[i - 1] for i in result.hesitations}
