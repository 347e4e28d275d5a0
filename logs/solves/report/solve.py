"""The looks of a solve, in words."""

from dataclasses import asdict, dataclass

from clubsite.accounts.models import User
from cubecore.cases import Stage
from cubecore.cube import SOLVED, after_turns
from cubecore.looks import Look
from cubecore.notation import count_metrics, parse_script, parse_tokens
from cubecore.outcomes import Outcome
from cubecore.pictures import colour_letters, cube_picture
from cubecore.replay import Replay, replay_row
from cubecore.turns import HOME_HOLD
from logs.algorithms.selectors import book_of_member
from logs.people.sight import sight_of_member
from logs.solves.charts import look_stretches, stage_stretches, time_strip
from logs.solves.models.solves import Solve
from logs.solves.report.solves import (
    Milestone,
    Step,
    is_written_with_holds,
    milestones,
    solve_steps,
)
from logs.solves.selectors.solves import solve_get
from logs.solves.services.labels import stored_row
from logs.words import REASONS, case_title, is_case, kind_words, moment, reading, split


@dataclass(frozen=True, slots=True)
class LookLine:
    """One look of the last layer."""

    stage: str
    case: str
    has_page: bool
    case_title: str
    outcome: str
    is_misfire: bool
    algorithm: str
    known: bool
    n_turns: int
    recognition: str
    execution: str
    lining_up: str
    n_lining_up: int


def look_lines(result: Replay) -> tuple[LookLine, ...]:
    """The looks of both stages, in order."""
    stages = ((Stage.OLL, result.oll), (Stage.PLL, result.pll))
    return tuple(
        LookLine(
            stage=stage.value,
            case=str(shown.case),
            has_page=is_case(str(shown.case)),
            case_title=case_title(stage, str(shown.case)),
            outcome=outcome_words(stage, look),
            is_misfire=look.outcome is Outcome.MISFIRE,
            algorithm=look.algorithm,
            known=look.known,
            n_turns=look.turns,
            recognition=split(look.recognition_ms),
            execution=split(look.execution_ms),
            lining_up=split(look.lining_up_ms),
            n_lining_up=look.lining_up_turns,
        )
        for stage, shown in stages
        if shown is not None
        for look in shown.looks
    )


_MISSING = {1: "U", 2: "U2", 3: "U'"}


def outcome_words(stage: Stage, look: Look) -> str:
    """What a look did, in words."""
    goal = "oriented the layer" if stage is Stage.OLL else "put the layer right"
    words = {
        Outcome.FINISHED: goal,
        Outcome.EDGES: "oriented the edges" if stage is Stage.OLL else "put the edges right",
        Outcome.CORNERS: "oriented the corners" if stage is Stage.OLL else "put the corners right",
        Outcome.STEP: "a step on the way",
        Outcome.REPAIR: "oriented the layer again",
        Outcome.MISFIRE: "misfire: something that stood was lost",
    }[look.outcome]
    if look.done is None or look.done.is_right:
        return words
    if look.done.is_held_wrongly:
        if look.outcome not in (Outcome.STEP, Outcome.MISFIRE):
            return words
        missing = _MISSING[look.done.quarter_turns or 0]
        return f"{words}; the right algorithm from a wrong hold, {missing} was missing before it"
    if look.outcome is Outcome.FINISHED:
        return words
    other = look.done.case
    return f"{words}, by the algorithm of {case_title(other.stage, str(other.number))}"


@dataclass(frozen=True, slots=True)
class StageLine:
    """A part of the solve: how long, and the turns and times it is read from."""

    name: str
    time: str
    recognition: str
    execution: str
    n_turns: int
    turns: str
    span: str


@dataclass(frozen=True, slots=True)
class KeyState:
    """A drawn state at the end of a part; ``step`` is where the scrubber finds it."""

    name: str
    step: int
    time: str
    picture: str


@dataclass(frozen=True, slots=True)
class MoveGroup:
    """The tokens of one part, each with the step it leads to."""

    part: str
    tokens: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class SolveReport:
    """What the Solve page shows; ``steps`` is empty for a row without a solution."""

    id: int
    member_name: str
    is_own: bool
    membership_id: int | None
    time: str
    done: str
    kind: str
    cross: str
    note: str
    reason: str
    scramble: str
    solution: str
    scrambled_picture: str
    n_htm: int
    turns_a_second: str
    is_timed: bool
    is_drawn_as_held: bool
    steps: tuple[Step, ...]
    stages: tuple[StageLine, ...]
    looks: tuple[LookLine, ...]
    key_states: tuple[KeyState, ...]
    moves: tuple[MoveGroup, ...]
    strip: str
    n_hesitations: int
    hesitations: str

    @property
    def steps_data(self) -> list[dict[str, object]]:
        """The steps as plain values, for the page's script."""
        return [asdict(step) for step in self.steps]

    @property
    def last_step(self) -> int:
        """The number of the last step, 0 without any."""
        return max(0, len(self.steps) - 1)


def solve_report(*, actor: User, solve_id: int) -> SolveReport:
    """What the page of a solve shows.

    Raises:
        NotFoundError: There is no such solve, or it is not the actor's to read.
    """
    solve = solve_get(actor=actor, solve_id=solve_id)
    member = sight_of_member(actor=actor, member=solve.member)
    result = replay_row(stored_row(solve), book_of_member(member=solve.member))
    steps = solve_steps(solve.scramble, solve.solution, result) if solve.solution else ()
    marks = milestones(result) if steps else ()
    pauses = _pauses(result)
    return SolveReport(
        id=solve.pk,
        member_name=member.name,
        is_own=member.is_own,
        membership_id=member.membership_id,
        time=reading(solve.time_ms, solve.status),
        done=moment(solve.done_at, member.zone),
        kind=kind_words(solve.kind),
        cross=solve.cross,
        note=solve.note,
        reason=REASONS[result.reason] if result.reason else "",
        scramble=solve.scramble,
        solution=solve.solution,
        scrambled_picture=_scrambled_picture(solve),
        n_htm=count_metrics(parse_tokens(solve.solution)).htm,
        turns_a_second=_turns_a_second(solve, result),
        is_timed=result.times is not None,
        is_drawn_as_held=is_written_with_holds(solve.solution),
        steps=steps,
        stages=_stage_lines(result, marks),
        looks=look_lines(result),
        key_states=_key_states(steps, marks),
        moves=_moves(steps),
        strip=_strip(result, marks),
        n_hesitations=len(pauses),
        hesitations=split(sum(end - start for start, end in pauses)),
    )


def _scrambled_picture(solve: Solve) -> str:
    places = after_turns(SOLVED, parse_script(solve.scramble).turns)
    letters = colour_letters(places, HOME_HOLD)
    return cube_picture(letters, size=160, text="The scrambled cube, white up, green in front")


def _turns_a_second(solve: Solve, result: Replay) -> str:
    if not result.times or not result.times[-1]:
        return split(None)
    htm = count_metrics(parse_tokens(solve.solution)).htm
    return f"{1000 * htm / result.times[-1]:.1f}"


def _pauses(result: Replay) -> list[tuple[int, int]]:
    if result.times is None:
        return []
    return [(result.times[i - 1], result.times[i]) for i in result.hesitations]


def _strip(result: Replay, marks: tuple[Milestone, ...]) -> str:
    if not result.times or not result.times[-1]:
        return ""
    return time_strip(
        stages=stage_stretches(result, marks),
        looks=look_stretches(result),
        turn_ms=result.times,
        hesitations=_pauses(result),
        text="The solve on a line of time; the tables below hold its figures",
    )


def _stage_lines(result: Replay, marks: tuple[Milestone, ...]) -> tuple[StageLine, ...]:
    lines = []
    begun = 0
    for mark in marks:
        lines.append(_stage_line(result, mark, begun))
        begun = max(begun, mark.n_turns)
    return tuple(lines)


def _stage_line(result: Replay, mark: Milestone, begun: int) -> StageLine:
    """A part that began after ``begun`` turns; a pair that came home early took none of its own."""
    done = max(begun, mark.n_turns)
    start_ms, end_ms = result.time_after(begun), result.time_after(done)
    stage = mark.sighting
    took_ms = None if start_ms is None or end_ms is None else end_ms - start_ms
    return StageLine(
        name=mark.case_name if mark.is_reached else f"{mark.case_name}, not finished",
        time=split(took_ms),
        recognition=split(stage.recognition_ms if stage else None),
        execution=split(stage.execution_ms if stage else None),
        n_turns=done - begun,
        turns=_turn_range(begun, done),
        span=split(None) if took_ms is None else f"{split(start_ms)} to {split(end_ms)}",
    )


def _turn_range(begun: int, done: int) -> str:
    if done == begun:
        return "none"
    return f"{done}" if done == begun + 1 else f"{begun + 1} to {done}"


def _key_states(steps: tuple[Step, ...], marks: tuple[Milestone, ...]) -> tuple[KeyState, ...]:
    """The scrambled cube and the cube at the end of each part, the last part's end once."""
    if not steps:
        return ()
    found = [("Scrambled", 0)]
    for mark in marks:
        at = next(i for i, step in enumerate(steps) if step.n_turns >= mark.n_turns)
        found.append((mark.name, at))
    return tuple(
        KeyState(
            name=name,
            step=at,
            time=split(steps[at].at_ms),
            picture=cube_picture(steps[at].letters, size=112, text=_state_text(name)),
        )
        for name, at in found
    )


def _state_text(name: str) -> str:
    return "The scrambled cube" if name == "Scrambled" else f"The cube after: {name}"


def _moves(steps: tuple[Step, ...]) -> tuple[MoveGroup, ...]:
    groups: list[tuple[str, list[tuple[int, str]]]] = []
    for index, step in enumerate(steps[1:], start=1):
        if not groups or groups[-1][0] != step.part:
            groups.append((step.part, []))
        groups[-1][1].append((index, step.token))
    return tuple(MoveGroup(part, tuple(tokens)) for part, tokens in groups)
