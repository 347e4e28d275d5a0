"""Timed rows to measure with: those of the demo club's logs, else solves put together here."""

import csv
import random
from pathlib import Path

from cubecore.book import default_book
from cubecore.cases import CASES
from cubecore.errors import CubeError
from cubecore.jsonlines import parse_line
from cubecore.replay import replay_row
from cubecore.rows import parse_row
from tests.cubecore import twin
from tests.cubecore.solves import TRIGGERS, TURNS, TypedSolve, outer, written_times

LOGS = Path(__file__).parents[2] / "fixtures" / "demo" / "logs"
N_ROWS = 2_000
Fields = dict[str, object]


def timed_rows() -> list[Fields]:
    """At least ``N_ROWS`` rows with solution and times, as a log holds them."""
    rows = [row for path in sorted(LOGS.rglob("*")) for row in read_fields(path)]
    timed = [row for row in rows if row.get("turn_ms") and _is_taken(row)]
    return timed if len(timed) >= N_ROWS else made_rows()


def _is_taken(row: Fields) -> bool:
    try:
        return replay_row(parse_row(row), default_book()).times is not None
    except CubeError:
        return False


def read_fields(path: Path) -> list[Fields]:
    """The rows of a log as they are written; none of another file."""
    if path.suffix == ".jsonl":
        return [row for line in path.read_text(encoding="utf-8").splitlines() for row in _row(line)]
    if path.suffix == ".csv":
        with path.open(encoding="utf-8", newline="") as file:
            return [dict(row) for row in csv.DictReader(file)]
    return []


def _row(line: str) -> list[Fields]:
    try:
        return [parse_line(line)]
    except CubeError:
        return []


def made_rows() -> list[Fields]:
    """Rows of sensor solves put together backwards: the scramble is what the turns undo.

    Their scrambles are as long as their solutions, so a row costs more here than in a real log.
    """
    rng = random.Random(20)
    oll = [case.algorithms[0] for case in CASES.values() if case.id.stage == "oll"]
    pll = [case.algorithms[0] for case in CASES.values() if case.id.stage == "pll"]
    rows: list[Fields] = []
    while len(rows) < N_ROWS:
        parts = [rng.choice(TURNS) for _ in range(7)]
        for _ in range(4):
            parts += [rng.choice(("", "y", "y'")), rng.choice(twin.AUF), rng.choice(TRIGGERS)]
        parts += [rng.choice(twin.AUF), rng.choice(oll), rng.choice(twin.AUF), rng.choice(pll)]
        turns = outer(" ".join(" ".join(parts).split()))
        solve = TypedSolve(turns, written_times(len(turns.split()), len(rows)))
        rows.append(
            {
                "scramble": solve.scramble,
                "time": (solve.turn_ms[-1] + 10) / 1000,
                "solution": turns,
                "turn_ms": list(solve.turn_ms),
            }
        )
    return rows
