"""How fast rows are labelled many at once, beside one at a time, sympy and a plain C loop.

All in one run, by the time of the processor of one process, each the median of its rounds. Labels are
what is stored of a solve and its sightings; what the others do is no more than the turning.
"""

import os
import shutil
import statistics
import struct
import subprocess
from collections.abc import Callable
from pathlib import Path
from time import process_time

import pytest

from cubecore.batch import replay_batch
from cubecore.book import default_book
from cubecore.compact import CompactRow, compact_row, unpack
from cubecore.cube import N_STICKERS, SOLVED, TURN_TABLES, after_turns
from cubecore.replay import replay_row, replay_turns
from cubecore.results import Replay
from cubecore.rows import Row, format_turn_ms, parse_row
from cubecore.turns import NO_TURNS, Turns, joined
from logs.solves.services.labels import sighting_labels, solve_labels
from tests.bench.solved_rows import timed_rows
from tests.bench.test_labelling import sympy_turns, turn_all, turn_all_by_generators

pytestmark = pytest.mark.bench
ROUNDS = 5
BATCH = 1_000
N_BY_SYMPY = 500  # rows that sympy turns; it is slow, and its rate hangs on nothing else
C_ROUNDS = 20
SOURCE = Path(__file__).with_name("plain_turns.c")
BOOK = default_book()


def in_batches(rows: list[CompactRow], use: Callable[[Replay], object]) -> None:
    for start in range(0, len(rows), BATCH):
        for result in replay_batch(rows[start : start + BATCH], BOOK):
            assert isinstance(result, Replay)
            use(result)


def one_by_one(rows: list[Row], use: Callable[[Replay], object]) -> None:
    for row in rows:
        use(replay_row(row, BOOK))


def one_by_one_from_bytes(rows: list[CompactRow], use: Callable[[Replay], object]) -> None:
    for row in rows:
        use(replay_turns(unpack(row), BOOK))


def leave(_: Replay) -> None:
    """Use a replay for nothing."""


def stored_labels(result: Replay) -> object:
    return solve_labels(result, BOOK), sighting_labels(result)


@pytest.fixture(scope="session")
def plain_turns(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The C loop, compiled."""
    compiler = shutil.which("cc") or shutil.which("gcc")
    if compiler is None:
        assert "CI" not in os.environ, "no C compiler"
        pytest.skip("no C compiler here (Debian: gcc, libc6-dev)")
    program = tmp_path_factory.mktemp("plain") / "plain_turns"
    subprocess.run([compiler, "-O3", "-march=native", "-o", program, SOURCE], check=True)
    return program


def c_seconds(program: Path, runs: list[Turns]) -> tuple[float, int]:
    """The seconds of one round through all runs, and the sum over their ends."""
    tables = b"".join(table[:N_STICKERS] for table in TURN_TABLES)
    data = tables + b"".join(struct.pack("=I", len(run)) + run for run in runs)
    told = subprocess.run([program, str(C_ROUNDS)], input=data, capture_output=True, check=True)
    seconds, total = told.stdout.split()
    return float(seconds), int(total)


def sum_of_ends(runs: list[Turns]) -> int:
    """As plain_turns.c has it."""
    total = 0
    for run in runs:
        for place in after_turns(SOLVED, run):
            total = (total * 31 + place) % 2**32
    return total


def seconds_of(work: Callable[[], object]) -> float:
    started = process_time()
    work()
    return process_time() - started


def test_labelling_in_batches_beside_one_by_one_sympy_and_c(plain_turns):
    rows = [parse_row(fields) for fields in timed_rows()]
    compact = [compact_row(row) for row in rows]
    runs = [joined(row.scramble, unpack(row).turns or NO_TURNS) for row in compact]
    some, by_turn = runs[:N_BY_SYMPY], sympy_turns()
    works: dict[str, tuple[int, Callable[[], object]]] = {
        "replayed in batches, from bytes": (len(rows), lambda: in_batches(compact, leave)),
        "replayed one by one, from text": (len(rows), lambda: one_by_one(rows, leave)),
        "replayed one by one, from bytes": (
            len(rows),
            lambda: one_by_one_from_bytes(compact, leave),
        ),
        "labels to store, in batches": (len(rows), lambda: in_batches(compact, stored_labels)),
        "labels to store, one by one": (len(rows), lambda: one_by_one(rows, stored_labels)),
        "turned by sympy's generators": (len(some), lambda: turn_all_by_generators(some)),
        "the same, powers made before": (len(some), lambda: turn_all(some, by_turn)),
    }
    rates: dict[str, list[float]] = {name: [] for name in [*works, "turned by a plain C loop"]}
    for _ in range(ROUNDS):
        for name, (n_rows, work) in works.items():
            rates[name].append(n_rows / seconds_of(work))
        seconds, total = c_seconds(plain_turns, runs)
        assert total == sum_of_ends(runs)
        rates["turned by a plain C loop"].append(len(runs) / seconds)

    n_turns = sum(map(len, runs)) / len(runs)
    print(f"\n{len(rows)} timed rows of {n_turns:.0f} turns, median of {ROUNDS}, rows a second:")
    batches = statistics.median(rates["replayed in batches, from bytes"])
    for name, measured in rates.items():
        rate = statistics.median(measured)
        print(
            f"  {name:<33}{rate:>11,.0f} (best {max(measured):,.0f});"
            f" in batches: {batches / rate:.3g} times that"
        )
    assert replay_batch(compact, BOOK) == [replay_row(row, BOOK) for row in rows]


def test_bytes_of_a_solve():
    rows = [parse_row(fields) for fields in timed_rows()]
    compact = [compact_row(row) for row in rows]
    n_turns = sum(len(row.solution or b"") for row in compact)
    sizes = {
        "scramble": (
            sum(len(row.scramble.encode()) for row in rows),
            sum(len(row.scramble) for row in compact),
        ),
        "solution": (
            sum(len((row.solution or "").encode()) for row in rows),
            n_turns,
        ),
        "times": (
            sum(len(format_turn_ms(row.turn_ms)) for row in rows),
            sum(len(row.gaps or b"") for row in compact),
        ),
    }
    print(f"\n{len(rows)} timed solves of {n_turns / len(rows):.0f} turns, bytes a solve:")
    for name, (text, packed) in sizes.items():
        print(f"  {name:<9} text {text / len(rows):6.1f}, stored turns {packed / len(rows):6.1f}")
    text, packed = (sum(column) / len(rows) for column in zip(*sizes.values(), strict=True))
    print(f"  together  text {text:6.1f}, stored turns {packed:6.1f}")
    assert packed < text / 2
