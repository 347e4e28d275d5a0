"""Rows of every sort for the property tests, and those of the demo club's logs."""

import random
from collections.abc import Iterator
from functools import cache

from hypothesis import strategies as st

from cubecore.errors import CubeError
from cubecore.rows import Penalty, Row, parse_row
from tests.bench.solved_rows import LOGS, read_fields
from tests.cubecore import twin
from tests.cubecore.solves import (
    HOLDS,
    LAST_LAYER,
    TURNS,
    TypedSolve,
    held_anew,
    layer_tokens,
    outer,
    typed_solves,
    written_times,
)


@st.composite
def all_sorts_of_rows(draw: st.DrawFn) -> Row:
    """A row that can be read: solved or not, timed or not, with slices, rotations, ties, a drill."""
    solve = draw(typed_solves() | _drills())
    row = solve.row()
    match draw(st.sampled_from(("typed", "sensor", "held", "untimed", "cut", "short", "bare"))):
        case "sensor":
            row = solve.sensor_row(random.Random(draw(st.integers(0, 99))))
        case "held":
            hold = draw(st.sampled_from(HOLDS))
            turns = held_anew(outer(solve.solution), hold)
            row = row._replace(solution=f"{hold} {turns}", turn_ms=None)
        case "untimed":
            row = row._replace(turn_ms=None)
        case "cut":
            row = _cut(row, draw(st.integers(0, len(layer_tokens(solve.solution)))))
        case "short":
            row = _cut(row, len(layer_tokens(solve.solution)) - 1)
        case "bare":
            row = row._replace(solution=None, turn_ms=None)
    return row._replace(penalty=draw(st.sampled_from(Penalty)))


@st.composite
def _drills(draw: st.DrawFn) -> TypedSolve:
    """The last layer alone, or a few turns of anything."""
    parts = draw(
        st.lists(st.sampled_from((*LAST_LAYER, *filter(None, twin.AUF))), min_size=1, max_size=5)
        | st.lists(st.sampled_from(TURNS), min_size=1, max_size=4)
    )
    solution = " ".join(parts)
    if twin.is_solved(twin.after(twin.SOLVED, solution)):
        solution += " R"
    n = len(layer_tokens(solution))
    return TypedSolve(solution, written_times(n, draw(st.integers(0, 2**32))))


def _cut(row: Row, n: int) -> Row:
    """The row, stopped after ``n`` of its layer turns."""
    kept: list[str] = []
    for token in (row.solution or "").split():
        if len(layer_tokens(" ".join([*kept, token]))) > n:
            break
        kept.append(token)
    return row._replace(solution=" ".join(kept) or "//", turn_ms=(row.turn_ms or ())[:n] or None)


@cache
def demo_rows() -> tuple[Row, ...]:
    """Every row of the demo club's logs whose fields can be read."""
    return tuple(_demo_rows())


def _demo_rows() -> Iterator[Row]:
    for path in sorted(LOGS.rglob("*")):
        for fields in read_fields(path):
            try:
                yield parse_row(fields)
            except CubeError:
                continue
