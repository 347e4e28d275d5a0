"""One solve, turn by turn: its parts, its two cases, the looks taken."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from clubsite.accounts.models import User
from cubecore.cases import Stage
from cubecore.cube import SOLVED, after_turns
from cubecore.endings import Status, counted_ms
from cubecore.looks import Look
from cubecore.notation import count_metrics, parse_script, parse_tokens
from cubecore.outcomes import Outcome
from cubecore.replay import replay_row
from cubecore.results import Kind, NoSplits, Reason, Replay
from cubecore.rows import TimedBy, parse_timed_by
from cubecore.skips import SkipOrigin
from cubecore.turns import HOME_HOLD
from logs.algorithms.selectors import book_of_member
from logs.cases.report import CaseName, name_of
from logs.people.sight import Whose, sight_of_member
from logs.solves.report.solves import name_of_met
from logs.solves.report.steps import (
    Colour,
    CubeFaces,
    Milestone,
    Part,
    PartKind,
    Step,
    faces_of,
    is_written_with_holds,
    milestones,
    pauses_of,
    solve_steps,
)
from logs.solves.selectors.solves import solve_get
from logs.solves.services.labels import stored_row


@dataclass(frozen=True, slots=True)
class DoneCase:
    """Whose algorithm a look was.

    Attributes:
        case: The case that the algorithm solves.
        n_missing: Where it is the case that was met: how many clockwise quarter turns of the layer
            were missing before it, 0 when the hold was right. Null where another case was met.
    """

    case: CaseName
    n_missing: int | None


@dataclass(frozen=True, slots=True)
class LookLine:
    """One look of the last layer.

    Attributes:
        case: The case of the stage that it was made in.
        outcome: What it did.
        done: Whose algorithm it was; null where the book does not have it.
        algorithm: The book's spelling, else its outer turns with the last layer up.
        n_turns: Its length in face turns, neighbours of one face counted as one.
        start_ms: When it began, ms from the start of the solve; null without times.
        recognition_ms: From there to the end of its first turn, ms; null without times.
        execution_ms: From there to its end, ms; null without times.
        lining_up_ms: The part of execution before the algorithm's first turn, ms; null without
            times.
        n_lining_up: Turns of the layer in that part.
    """

    case: CaseName
    outcome: Outcome
    done: DoneCase | None
    algorithm: str
    n_turns: int
    start_ms: int | None
    recognition_ms: int | None
    execution_ms: int | None
    lining_up_ms: int | None
    n_lining_up: int


@dataclass(frozen=True, slots=True)
class StageLine:
    """A part of the solve: how long, and the turns and times it is read from.

    Attributes:
        part: The part.
        case: The case it shows, or a skip; null for a part that shows none.
        skip: How a skip came; null where it is none.
        took_ms: How long it took, ms; null without times.
        recognition_ms: Recognition of its looks, ms; null where the log does not tell.
        execution_ms: Execution of its looks, ms; the same.
        n_turns: Outer turns made in it.
        first_turn: Its first turn, counted from 1 over the solve; null where it took none.
        last_turn: Its last turn; the same.
        start_ms: When it began, ms from the start of the solve; null without times.
        end_ms: When it ended; the same.
        step_ms: How fine these are, ms; null where the log does not say.
    """

    part: Part
    case: CaseName | None
    skip: SkipOrigin | None
    took_ms: int | None
    recognition_ms: int | None
    execution_ms: int | None
    n_turns: int
    first_turn: int | None
    last_turn: int | None
    start_ms: int | None
    end_ms: int | None
    step_ms: int | None = None


@dataclass(frozen=True, slots=True)
class KeyState:
    """The end of a part.

    Attributes:
        part: The part; null for the scrambled cube.
        step: Number of the step that ends it.
        at_ms: When, ms from the start of the solve; null without times.
        cube: The cube then, as it is drawn.
    """

    part: Part | None
    step: int
    at_ms: int | None
    cube: CubeFaces


@dataclass(frozen=True, slots=True)
class SolveReport:
    """A solve turn by turn.

    Attributes:
        id: Its number.
        whose: The member.
        done_at: When it was done; null where the log does not tell.
        time_ms: The timer's reading, without the penalty, ms.
        counted_ms: As it counts, with the two seconds of a +2, ms; null for a DNF.
        status: How it ended.
        kind: A whole solve or a drill; null for a row without a solution.
        cross: Colour of the cross; null where there was none.
        note: The member's own words.
        reason: Why no last layer was met; null where it was.
        scramble: The turns that mixed the cube.
        solution: The turns of the solve; empty where they were not kept.
        scrambled: The mixed cube, white up and green in front.
        n_htm: Turns of the solution, neighbours of one face counted as one.
        turns_per_s: Turns a second over the whole solve; null without times.
        is_timed: Whether the log holds the time of each turn.
        no_splits: Why looks have no times though turns have; null where they have, or neither.
        has_marks: Whether the log holds five marks in the place of turn times.
        timed_by: What these times were taken with; null where the log does not say.
        step_ms: How fine they are, ms; null where the log does not say.
        is_drawn_as_held: Whether steps are drawn as the cube was held, else with the last layer up.
        steps: The cube after each token, from the scrambled cube on; empty without a solution.
        stages: Its parts.
        looks: Its looks of the last layer.
        key_states: The scrambled cube and the end of each part.
        n_hesitations: Pauses between turns that count as hesitations.
        hesitation_ms: How long these were together, ms; null without times.
    """

    id: int
    whose: Whose
    done_at: datetime | None
    time_ms: int
    counted_ms: int | None
    status: Status
    kind: Kind | None
    cross: Colour | None
    note: str
    reason: Reason | None
    scramble: str
    solution: str
    scrambled: CubeFaces
    n_htm: int
    turns_per_s: float | None
    is_timed: bool
    no_splits: NoSplits | None
    has_marks: bool
    timed_by: TimedBy | None
    step_ms: int | None
    is_drawn_as_held: bool
    steps: tuple[Step, ...]
    stages: tuple[StageLine, ...]
    looks: tuple[LookLine, ...]
    key_states: tuple[KeyState, ...]
    n_hesitations: int
    hesitation_ms: int | None

    @property
    def turns(self) -> tuple[Step, ...]:
        """The steps that a token leads to."""
        return self.steps[1:]

    @property
    def last_step(self) -> int:
        """The number of the last step, 0 without any."""
        return max(0, len(self.steps) - 1)


def solve_report(*, actor: User, solve_id: int) -> SolveReport:
    """A solve turn by turn.

    Raises:
        NotFoundError: There is no such solve, or it is not the actor's to read.
    """
    solve = solve_get(actor=actor, solve_id=solve_id)
    member = sight_of_member(actor=actor, member=solve.member)
    result = replay_row(stored_row(solve), book_of_member(member=solve.member))
    steps = solve_steps(solve.scramble, solve.solution, result) if solve.solution else ()
    marks = milestones(result) if steps else ()
    status = Status(solve.status)
    pauses = pauses_of(result)
    n_htm = count_metrics(parse_tokens(solve.solution)).htm
    return SolveReport(
        id=solve.pk,
        whose=member,
        done_at=solve.done_at,
        time_ms=solve.time_ms,
        counted_ms=counted_ms(solve.time_ms, status),
        status=status,
        kind=Kind(solve.kind) if solve.kind else None,
        cross=Colour(solve.cross) if solve.cross else None,
        note=solve.note,
        reason=result.reason,
        scramble=solve.scramble,
        solution=solve.solution,
        scrambled=faces_of(after_turns(SOLVED, parse_script(solve.scramble).turns), HOME_HOLD),
        n_htm=n_htm,
        turns_per_s=_turns_per_s(n_htm, result),
        is_timed=result.times is not None,
        no_splits=result.no_splits,
        has_marks=result.marks is not None,
        timed_by=parse_timed_by(solve.timed_by),
        step_ms=solve.step_ms,
        is_drawn_as_held=is_written_with_holds(solve.solution),
        steps=steps,
        stages=tuple(_stage_lines(result, marks, solve.step_ms)),
        looks=tuple(look_lines(result)),
        key_states=tuple(_key_states(steps, marks)),
        n_hesitations=len(pauses),
        hesitation_ms=None if result.times is None else sum(pauses.values()),
    )


def _turns_per_s(n_htm: int, result: Replay) -> float | None:
    if not result.times or not result.times[-1]:
        return None
    return 1000 * n_htm / result.times[-1]


def look_lines(result: Replay) -> Iterator[LookLine]:
    """The looks of both stages, in order, each beginning where the one before it ended."""
    for stage, sighting, begun in (
        (Stage.OLL, result.oll, result.f2l_turn),
        (Stage.PLL, result.pll, result.oriented_turn),
    ):
        if sighting is None:
            continue
        start_ms = result.time_after(begun)
        for look in sighting.looks:
            yield LookLine(
                case=name_of_met(stage, str(sighting.case)),
                outcome=look.outcome,
                done=_done_case(look),
                algorithm=look.algorithm,
                n_turns=look.turns,
                start_ms=start_ms,
                recognition_ms=look.recognition_ms,
                execution_ms=look.execution_ms,
                lining_up_ms=look.lining_up_ms,
                n_lining_up=look.lining_up_turns,
            )
            if start_ms is not None and look.recognition_ms is not None:
                start_ms += look.recognition_ms + (look.execution_ms or 0)


def _done_case(look: Look) -> DoneCase | None:
    if look.done is None:
        return None
    return DoneCase(case=name_of(look.done.case), n_missing=look.done.quarter_turns)


def _stage_lines(
    result: Replay, marks: tuple[Milestone, ...], step_ms: int | None
) -> Iterator[StageLine]:
    begun = 0
    for mark in marks:
        yield _stage_line(result, mark, begun, step_ms)
        begun = max(begun, mark.n_turns)


def _stage_line(result: Replay, mark: Milestone, begun: int, step_ms: int | None) -> StageLine:
    """A part that began after ``begun`` turns; a pair that came home early took none of its own."""
    done = max(begun, mark.n_turns)
    start_ms, end_ms = result.time_after(begun), result.time_after(done)
    stage = mark.sighting
    took_ms = None if start_ms is None or end_ms is None else end_ms - start_ms
    if result.marks is not None and mark.part.kind is PartKind.FINAL_AUF:
        took_ms = result.final_auf_ms
        end_ms = None if start_ms is None or took_ms is None else start_ms + took_ms
    return StageLine(
        part=mark.part,
        case=mark.case,
        skip=stage.skip if stage else None,
        took_ms=took_ms,
        recognition_ms=stage.recognition_ms if stage else None,
        execution_ms=stage.execution_ms if stage else None,
        n_turns=done - begun,
        first_turn=begun + 1 if done > begun else None,
        last_turn=done if done > begun else None,
        start_ms=start_ms,
        end_ms=end_ms,
        step_ms=step_ms,
    )


def _key_states(steps: tuple[Step, ...], marks: tuple[Milestone, ...]) -> Iterator[KeyState]:
    """The scrambled cube and the cube at the end of each part, the last part's end once."""
    if not steps:
        return
    yield KeyState(part=None, step=0, at_ms=steps[0].at_ms, cube=steps[0].cube)
    for mark in marks:
        step = next(step for step in steps if step.n_turns >= mark.n_turns)
        yield KeyState(part=mark.part, step=step.number, at_ms=step.at_ms, cube=step.cube)
