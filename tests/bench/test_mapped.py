"""How reading and guessing grow with the file, on shapes made to be slow: a ratio in one run."""

import math
import time
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial

import pytest

from logs.errors import UploadRejectedError
from logs.intake.guess import guess_mapping
from logs.intake.mapped import read_mapped
from logs.intake.mapping import ColumnMapping, DateOrder, Role, Unit
from logs.intake.reading import needs_mapping
from logs.intake.rows import Clock
from logs.intake.sample import take_sample
from logs.intake.source import SourceFile

CLOCK = Clock(UTC, datetime(2100, 1, 1, tzinfo=UTC))

pytestmark = pytest.mark.bench

MAPPING = ColumnMapping(
    encoding="utf-8",
    separator=";",
    roles=(Role.SCRAMBLE, Role.TIME, Role.DONE_AT, Role.SOLUTION, Role.TURN_MS),
    time_unit=Unit.SECONDS,
    date_order=DateOrder.DAY_FIRST,
)
SMALL, TIMES = 4_000, 10
STEEPEST = 1.25
"""Slope of time over size that still counts as linear on a busy machine (exactly linear: 1)."""
SHAPES: dict[str, Callable[[int], str]] = {
    "rows": lambda n: "R U F' D;12.34;14/03/2026 18:05;R U;100 200\n" * n,
    "open quotes": lambda n: '"R U;12.34\n' * n,
    "one long cell": lambda n: "R U F' D;12.34;14/03/2026;R U;" + "1 " * (20 * n),
    "one long time": lambda n: f"R U;{'1' * (40 * n)};14/03/2026\n",
    "one long date": lambda n: f"R U;1.2;{'1/' * (20 * n)}\n",
    "separators": lambda n: ";" * (40 * n),
    "marks": lambda n: f"R U;{'+2' * (20 * n)};x\n",
}


def _seconds(work: Callable[[], object]) -> float:
    """The least of five."""
    best = math.inf
    for _ in range(5):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def _guess(content: bytes) -> None:
    needs_mapping(SourceFile(content), CLOCK)
    try:
        guess_mapping(take_sample(SourceFile(content)))
    except UploadRejectedError:
        return


@pytest.mark.parametrize("shape", SHAPES)
def test_time_grows_as_the_file_does(shape: str):
    small, large = (SHAPES[shape](n).encode() for n in (SMALL, SMALL * TIMES))
    size = math.log(len(large) / len(small))
    contents = (small, large)
    readings = [
        _seconds(partial(read_mapped, SourceFile(content), MAPPING, CLOCK)) for content in contents
    ]
    guesses = [_seconds(partial(_guess, content)) for content in contents]
    slopes = {
        what: math.log(slow / fast) / size
        for what, (fast, slow) in {"reading": readings, "guessing": guesses}.items()
    }
    print(f"\n{shape}: slope {slopes['reading']:.2f} reading, {slopes['guessing']:.2f} guessing")
    for what, slope in slopes.items():
        assert slope < STEEPEST, what
