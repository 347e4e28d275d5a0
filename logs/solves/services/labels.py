"""Labels of rows as the tables hold them: a pure function of row, engine version and book version.

Nothing here touches the database.
"""

import hashlib
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol

from cubecore.batch import replay_batch
from cubecore.book import Book
from cubecore.cases import Stage
from cubecore.compact import CompactRow, MarkedTurns, PackedNumbers, compact_row
from cubecore.cube import SOLVED, after_turns
from cubecore.errors import CubeError
from cubecore.jsonlines import look_json
from cubecore.looks import Look
from cubecore.marks import marked
from cubecore.notation import parse_script
from cubecore.outcomes import Outcome
from cubecore.replay import ENGINE_VERSION
from cubecore.results import LastLayerStage, Replay
from cubecore.rows import (
    Marks,
    Penalty,
    Row,
    format_mark_ms,
    format_turn_ms,
    parse_mark_ms,
    parse_timed_by,
    parse_turn_ms,
)
from cubecore.turns import Turns
from logs.errors import RowProblem
from logs.intake.rows import ReadRow, problem_of
from logs.solves.figures.mistakes import Mistake, read_first_look
from logs.solves.models.solves import Sighting, Solve

LABEL_FIELDS = (
    "status", "kind", "cross", "reason", "no_splits", "cross_ms", "pair_ms", "f2l_ms", "final_auf_ms",
    "engine_version", "book_version",
)  # fmt: skip


TEXT_FIELDS = (
    *("scramble", "time_ms", "penalty", "solution"),
    *("turn_ms", "mark_ms", "timed_by", "step_ms", "note"),
)


TURN_FIELDS = ("scramble_turns", "solution_turns", "turn_gaps", "place")


@dataclass(frozen=True, slots=True)
class Labelled:
    """A row with its labels.

    Attributes:
        read: The row.
        replay: What the engine made of it.
        key: What tells its solve from the member's others.
        compact: Its turns and their times, as they are stored.
    """

    read: ReadRow
    replay: Replay
    key: str
    compact: CompactRow


@dataclass(frozen=True, slots=True)
class LabelledRows:
    """Rows the engine has labelled, and those it refused."""

    rows: tuple[Labelled, ...]
    problems: tuple[RowProblem, ...]


def label_rows(
    rows: Iterable[ReadRow], *, book: Book, undated: Counter[str] | None = None
) -> LabelledRows:
    """The labels of a file's rows, in its order.

    Args:
        rows: The rows.
        book: The algorithms to name looks by.
        undated: How often each undated solve stands in the file before ``rows``; counts them too.
    """
    undated = Counter() if undated is None else undated
    taken: list[tuple[ReadRow, CompactRow]] = []
    labelled: list[Labelled] = []
    problems: list[RowProblem] = []
    for read in rows:
        try:
            taken.append((read, compact_row(read.row)))
        except CubeError as error:
            problems.append(problem_of(error, read.line, read.text))
    results = replay_batch([compact for _, compact in taken], book)
    for (read, compact), replay in zip(taken, results, strict=True):
        result = result_with_marks(replay, read.row.mark_ms, read.row.time_ms)
        if isinstance(result, CubeError):
            problems.append(problem_of(result, read.line, read.text))
            continue
        ordinal = 1
        if read.done_at is None:
            same = solve_key(read.row, result.turns, None)
            undated[same] += 1
            ordinal = undated[same]
        key = solve_key(read.row, result.turns, read.done_at, ordinal)
        labelled.append(Labelled(read, result, key, compact))
    return LabelledRows(tuple(labelled), tuple(sorted(problems, key=lambda one: one.line)))


def result_with_marks(
    result: Replay | CubeError, marks: Marks | None, time_ms: int
) -> Replay | CubeError:
    """A replay with what the marks of its row say, or what is wrong with them."""
    if marks is None or isinstance(result, CubeError):
        return result
    try:
        return marked(result, marks, time_ms)
    except CubeError as error:
        return error


def solve_key(row: Row, turns: bytes, done_at: datetime | None, ordinal: int = 1) -> str:
    """What tells a solve from a member's others, in hex.

    It is the SHA-256 of the position after the scramble, the solution's outer turns in the frame
    of the centres, the timer's reading, the penalty and the instant. However a file spells a solve,
    its key is the same.

    Args:
        row: The solve, with a scramble that the engine takes.
        turns: Its solution's outer turns.
        done_at: When; None when the log does not say.
        ordinal: The how-many-th such row in its file it is, when ``done_at`` is None.
    """
    position = after_turns(SOLVED, parse_script(row.scramble).turns)
    moment = f"#{ordinal}" if done_at is None else done_at.isoformat()
    parts = (position.hex(), turns.hex(), str(row.time_ms), str(row.penalty), moment)
    return hashlib.sha256("|".join(parts).encode()).hexdigest()


def raw_fields(row: Row) -> dict[str, Any]:
    """The row as `Solve` keeps it; `stored_row` reads it back."""
    return {
        "scramble": row.scramble,
        "time_ms": row.time_ms,
        "penalty": str(row.penalty),
        "solution": row.solution or "",
        "turn_ms": format_turn_ms(row.turn_ms),
        "mark_ms": format_mark_ms(row.mark_ms),
        "timed_by": str(row.timed_by or ""),
        "step_ms": row.step_ms,
        "note": row.note,
    }


def turn_fields(compact: CompactRow) -> dict[str, Any]:
    """The row's turns as `Solve` keeps them beside its texts; `stored_turns` reads them back."""
    return {
        "scramble_turns": compact.scramble,
        "solution_turns": compact.solution,
        "turn_gaps": compact.gaps,
        "place": int.from_bytes(_hash(after_turns(SOLVED, compact.scramble))[:8], signed=True),
    }


def _hash(position: bytes) -> bytes:
    return hashlib.sha256(position).digest()


def stored_turns(solve: Solve) -> CompactRow | None:
    """What `turn_fields` has stored; None in a row older than those fields."""
    scramble, solution, gaps = solve.scramble_turns, solve.solution_turns, solve.turn_gaps
    if scramble is None:
        return None
    return CompactRow(
        Turns(bytes(scramble)),
        None if solution is None else MarkedTurns(bytes(solution)),
        None if gaps is None else PackedNumbers(bytes(gaps)),
        Penalty(solve.penalty),
    )


class RowTexts(Protocol):
    """What keeps the texts of a row: a `Solve`, or a row as it was sent."""

    @property
    def scramble(self) -> str: ...  # noqa: D102 - as in `Solve`
    @property
    def time_ms(self) -> int: ...  # noqa: D102
    @property
    def penalty(self) -> str: ...  # noqa: D102
    @property
    def solution(self) -> str: ...  # noqa: D102
    @property
    def turn_ms(self) -> str: ...  # noqa: D102
    @property
    def mark_ms(self) -> str: ...  # noqa: D102
    @property
    def timed_by(self) -> str: ...  # noqa: D102
    @property
    def step_ms(self) -> int | None: ...  # noqa: D102
    @property
    def note(self) -> str: ...  # noqa: D102


def stored_row(solve: RowTexts) -> Row:
    """The row of a stored solve, without its time of day, which no label needs."""
    return Row(
        scramble=solve.scramble,
        time_ms=solve.time_ms,
        penalty=Penalty(solve.penalty),
        solution=solve.solution or None,
        turn_ms=parse_turn_ms(solve.turn_ms),
        mark_ms=parse_mark_ms(solve.mark_ms),
        timed_by=parse_timed_by(solve.timed_by),
        step_ms=solve.step_ms,
        note=solve.note,
    )


def solve_labels(result: Replay, book: Book) -> dict[str, Any]:
    """The values of ``LABEL_FIELDS``."""
    return {
        "status": result.status.value,
        "kind": result.kind.value if result.kind else "",
        "cross": "" if result.cross is None else result.cross.colour,
        "reason": result.reason.value if result.reason else "",
        "no_splits": result.no_splits.value if result.no_splits else "",
        "cross_ms": result.time_after(result.cross_turn),
        "pair_ms": [result.time_after(turn) for turn in result.pair_turns],
        "f2l_ms": result.f2l_ms,
        "final_auf_ms": result.final_auf_ms,
        "engine_version": ENGINE_VERSION,
        "book_version": book.version,
    }


def sighting_labels(result: Replay) -> list[dict[str, Any]]:
    """The fields of the `Sighting` rows of a solve, but for whose they are: OLL, then PLL."""
    stages = ((Stage.OLL, result.oll), (Stage.PLL, result.pll))
    return [_sighting(stage, shown) for stage, shown in stages if shown is not None]


def _sighting(stage: Stage, shown: LastLayerStage) -> dict[str, Any]:
    looks = shown.looks
    named = next(filter(None, map(_named_misfire, looks)), None)
    return {
        "stage": stage.value,
        "case": str(shown.case),
        "angle": shown.angle,
        "skip": shown.skip.value if shown.skip else "",
        "stage_ms": shown.stage_ms,
        "recognition_ms": shown.recognition_ms,
        "execution_ms": shown.execution_ms,
        "is_reached": shown.is_reached,
        "n_looks": len(looks),
        "first_outcome": looks[0].outcome.value if looks else "",
        "algorithm": _algorithm(looks),
        "is_one_look": len(looks) == 1 and looks[0].outcome is Outcome.FINISHED,
        "edge_step": shown.edge_step.value,
        "corner_step": shown.corner_step,
        "permutation_step": shown.permutation_step.value,
        "position": shown.position,
        "misfire_kind": named.misfire_kind if named else "",
        "misfire_case": named.done if named else "",
        "looks": [look_json(look) for look in looks],
    }


def _named_misfire(look: Look) -> Mistake | None:
    """What a look was that lost something, or came from a wrong hold; None where none can be named."""
    first = read_first_look(look_json(look))
    is_misfire = look.outcome is Outcome.MISFIRE or not first.if_known
    return first.mistake if is_misfire else None


def _algorithm(looks: tuple[Look, ...]) -> str:
    """That of the look that reached the goal, else of the first."""
    finishing = [look for look in looks if look.outcome is Outcome.FINISHED]
    return (finishing or list(looks))[0].algorithm if looks else ""


def build_sightings(solve: Solve, result: Replay) -> list[Sighting]:
    """The unsaved sightings of ``solve``."""
    return [
        Sighting(solve_id=solve.pk, member_id=solve.member_id, **fields)
        for fields in sighting_labels(result)
    ]
