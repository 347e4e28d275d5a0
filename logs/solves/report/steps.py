"""A solution token by token: what is drawn and said after each."""

from dataclasses import dataclass
from enum import StrEnum

from cubecore.cases import Stage
from cubecore.cube import SOLVED, Cube, Places, after_turns
from cubecore.notation import parse_script, parse_tokens
from cubecore.results import LastLayerStage, Replay
from cubecore.turns import Face, Hold, hold_with_up
from logs.cases.report import CaseName
from logs.solves.report.solves import name_of_met


class Colour(StrEnum):
    """The colour of a sticker."""

    WHITE = "white"
    RED = "red"
    GREEN = "green"
    YELLOW = "yellow"
    ORANGE = "orange"
    BLUE = "blue"


@dataclass(frozen=True, slots=True)
class CubeFaces:
    """The cube as it is held: nine colours a face, row by row as one looks straight at it.

    Attributes:
        up: The upper face, its back edge first.
        right: The right face, its upper edge first.
        front: The front face, its upper edge first.
        down: The lower face, its front edge first.
        left: The left face, its upper edge first.
        back: The back face, its upper edge first.
    """

    up: tuple[Colour, ...]
    right: tuple[Colour, ...]
    front: tuple[Colour, ...]
    down: tuple[Colour, ...]
    left: tuple[Colour, ...]
    back: tuple[Colour, ...]


def faces_of(places: Places, hold: Hold) -> CubeFaces:
    """The cube at ``places`` as a solver in ``hold`` has it."""
    seen = Cube(places).seen_from(hold)
    colours = {face: tuple(Colour(sticker.colour) for sticker in seen[face]) for face in Face}
    return CubeFaces(
        up=colours[Face.U],
        right=colours[Face.R],
        front=colours[Face.F],
        down=colours[Face.D],
        left=colours[Face.L],
        back=colours[Face.B],
    )


class PartKind(StrEnum):
    """What a part of a solve is; ``rest`` is what a solve ended in that met no last layer."""

    CROSS = "cross"
    PAIR = "pair"
    OLL = "oll"
    PLL = "pll"
    FINAL_AUF = "final_auf"
    REST = "rest"


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a solve.

    Attributes:
        kind: What it is.
        pair: Of a pair, which of the four in the order they came home, from 1; else null.
        is_reached: Whether its goal was reached.
    """

    kind: PartKind
    pair: int | None = None
    is_reached: bool = True


@dataclass(frozen=True, slots=True)
class Step:
    """The solve after a token; step 0 is the scrambled cube.

    Attributes:
        number: Its place, from 0.
        token: The token, in its normal spelling; empty at step 0.
        n_turns: Outer turns made so far.
        at_ms: When the token's turn ended, ms from the start; null without times.
        cube: The cube as it is drawn after it.
        part: The part of the solve that the token belongs to; null at step 0.
        pause_ms: The hesitation before it, ms; null where there was none.
    """

    number: int
    token: str
    n_turns: int
    at_ms: int | None
    cube: CubeFaces
    part: Part | None
    pause_ms: int | None


@dataclass(frozen=True, slots=True)
class Milestone:
    """The end of a part.

    Attributes:
        part: The part.
        n_turns: The outer turns made by its end.
        sighting: The case it shows, for OLL and PLL.
    """

    part: Part
    n_turns: int
    sighting: LastLayerStage | None = None

    @property
    def case(self) -> CaseName | None:
        """The case that the part shows, if any."""
        if self.sighting is None:
            return None
        return name_of_met(Stage(self.part.kind.value), str(self.sighting.case))


def milestones(result: Replay) -> tuple[Milestone, ...]:
    """The ends of the parts of a replay, in order; the last one is the end of the solution."""
    ends: list[tuple[Part, int | None, LastLayerStage | None]] = [
        (Part(PartKind.CROSS), result.cross_turn, None)
    ]
    ends += [
        (Part(PartKind.PAIR, k), turn, None) for k, turn in enumerate(result.pair_turns, start=1)
    ]
    ends += [
        (Part(PartKind.OLL), result.oriented_turn, result.oll),
        (Part(PartKind.PLL), result.permuted_turn, result.pll),
    ]
    reached = [Milestone(part, turn, stage) for part, turn, stage in ends if turn is not None]
    return (*reached, _last_milestone(result))


def _last_milestone(result: Replay) -> Milestone:
    """The last part: the final AUF, or what the solve ended in."""
    n_turns = len(result.turns)
    if result.permuted_turn is not None:
        return Milestone(Part(PartKind.FINAL_AUF), n_turns)
    for kind, stage in ((PartKind.PLL, result.pll), (PartKind.OLL, result.oll)):
        if stage is not None:
            return Milestone(Part(kind, is_reached=False), n_turns, stage)
    return Milestone(Part(PartKind.REST), n_turns)


def part_after(marks: tuple[Milestone, ...], n_turns: int) -> Part:
    """The part that the turn number ``n_turns`` (1-based) belongs to."""
    return next((mark.part for mark in marks if n_turns <= mark.n_turns), marks[-1].part)


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
    pauses = pauses_of(result)
    hold, n_turns = start.hold, 0
    steps = [Step(0, "", 0, 0 if result.times else None, faces_of(places, up), None, None)]
    for number, token in enumerate(parse_tokens(solution), start=1):
        script = parse_script(token.text, hold)
        places, hold = after_turns(places, script.turns), script.hold
        pause_ms = pauses.get(n_turns) if script.turns else None
        n_turns += len(script.turns)
        steps.append(
            Step(
                number=number,
                token=token.text,
                n_turns=n_turns,
                at_ms=result.time_after(n_turns),
                cube=faces_of(places, hold if written else up),
                # A rotation belongs to what it leads up to.
                part=part_after(marks, n_turns if script.turns else n_turns + 1),
                pause_ms=pause_ms,
            )
        )
    return tuple(steps)


def pauses_of(result: Replay) -> dict[int, int]:
    """The length in ms of each hesitation, by the index of the turn after it."""
    if result.times is None:
        return {}
    return {i: result.times[i] - result.times[i - 1] for i in result.hesitations}
