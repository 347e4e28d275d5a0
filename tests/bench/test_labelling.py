"""How fast rows are labelled, beside sympy's bare turning of the same turns in the same run.

Time is the time of the processor, so that a busy machine does not blur the two rates.
"""

import statistics
from collections import deque
from collections.abc import Iterator
from time import process_time

import pytest
from sympy.combinatorics import Permutation
from sympy.combinatorics.generators import rubik_cube_generators

from cubecore.book import default_book
from cubecore.cube import SOLVED, Places, after_turns
from cubecore.endings import Status
from cubecore.notation import parse_script, parse_tokens
from cubecore.replay import replay_row
from cubecore.results import Replay
from cubecore.rows import parse_row
from cubecore.turns import Face, Turns, joined
from tests.bench.solved_rows import N_ROWS, Fields, timed_rows

pytestmark = pytest.mark.bench
ROUNDS = 3
SYMPY_FACES = "ULFRBD"  # the order of sympy's generators


def label_all(rows: list[Fields]) -> Iterator[Replay]:
    book = default_book()
    for row in rows:
        yield replay_row(parse_row(row), book)


def sympy_turns() -> list[Permutation]:
    """sympy's permutation for each of the engine's 18 turns."""
    generators = dict(zip(SYMPY_FACES, rubik_cube_generators(), strict=True))
    return [generators[face.name] ** amount for face in Face for amount in (1, 2, 3)]


def turn_all(runs: list[Turns], by_turn: list[Permutation]) -> list[Permutation]:
    ends = []
    for turns in runs:
        position = Permutation(47)
        for turn in turns:
            position = position * by_turn[turn]
        ends.append(position)
    return ends


def turn_all_by_generators(runs: list[Turns]) -> None:
    """As `turn_all` with nothing made beforehand: half turns and inverses are powers."""
    by_face = dict(zip(SYMPY_FACES, rubik_cube_generators(), strict=True))
    generators = [by_face[face.name] for face in Face]
    for turns in runs:
        position = Permutation(47)
        for turn in turns:
            position = position * generators[turn // 3] ** (turn % 3 + 1)


def turn_all_by_engine(runs: list[Turns]) -> list[Places]:
    return [after_turns(SOLVED, turns) for turns in runs]


def rows_a_second(n_rows: int, seconds: float) -> float:
    return n_rows / seconds


def test_labelling_beside_sympys_bare_turning():
    rows = timed_rows()
    runs = [
        joined(parse_script(str(row["scramble"])).turns, parse_script(str(row["solution"])).turns)
        for row in rows
    ]
    by_turn = sympy_turns()
    ours, bare, theirs, powers = [], [], [], []
    for _ in range(ROUNDS):
        started = process_time()
        deque(label_all(rows), maxlen=0)  # each used and let go, as a reader of lines does
        ours.append(rows_a_second(len(rows), process_time() - started))
        started = process_time()
        turn_all_by_engine(runs)
        bare.append(rows_a_second(len(rows), process_time() - started))
        started = process_time()
        ends = turn_all(runs, by_turn)
        theirs.append(rows_a_second(len(rows), process_time() - started))
        started = process_time()
        turn_all_by_generators(runs)
        powers.append(rows_a_second(len(rows), process_time() - started))
    n_turns = sum(map(len, runs)) / len(runs)
    print(
        f"\n{len(rows)} timed rows of {n_turns:.0f} turns, median of {ROUNDS} rounds, rows a second:"
    )
    for name, rates in (
        ("labelled in full", ours),
        ("turned only, by the engine", bare),
        ("turned by sympy's generators", powers),
        ("the same, powers made before", theirs),
    ):
        ratio = statistics.median(ours) / statistics.median(rates)
        print(
            f"  {name:<30}{statistics.median(rates):>9,.0f} (best {max(rates):,.0f});"
            f" labelling is {ratio:.1f} times that"
        )

    assert len(rows) >= N_ROWS
    labelled = list(label_all(rows))
    for row, result, end in zip(rows, labelled, ends, strict=True):
        # What is solved for the engine is the identity for sympy, and the other way round.
        if not row.get("penalty"):
            assert end.is_Identity == (result.status is Status.SOLVED), row
    n_seen = sum(result.pll is not None for result in labelled)
    assert n_seen > 0.8 * len(rows)


@pytest.mark.parametrize(
    ("kind", "unit", "n_tokens"),
    [
        ("plain tokens", "R U' ", 2),
        ("groups", "(R U)2 ", 4),
        ("nested groups", "((R)2)2 ", 4),
        ("comments", "R // R U\n", 1),
        ("no spaces", "RU'F2", 3),
        ("empty groups", "()", 0),
    ],
)
def test_parsing_takes_time_in_proportion_to_the_text(kind, unit, n_tokens):
    per_character = {}
    for times in (20, 200):
        text = unit * times
        started = process_time()
        for _ in range(400):
            tokens = parse_tokens(text)
        per_character[times] = (process_time() - started) / len(text)
        assert len(tokens) == n_tokens * times
    ratio = per_character[200] / per_character[20]
    print(f"\n{kind}: a text ten times as long costs {ratio:.2f} times as much a character")
