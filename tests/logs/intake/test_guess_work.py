"""The work of a guess is bounded by what is looked at, whatever a file of that size holds.

Counted are calls of Python functions, by the interpreter's own profile hook: the same on every
machine. An honest file of 200 rows and eight columns is what they are measured against.
"""

import sys
from collections.abc import Callable
from datetime import UTC, datetime
from types import FrameType
from typing import Any

import pytest

from logs.errors import UploadRejectedError
from logs.intake.guess import guess_mapping, open_questions
from logs.intake.reading import needs_mapping
from logs.intake.rows import Clock
from logs.intake.sample import Sample, take_sample
from logs.intake.source import SourceFile

CLOCK = Clock(UTC, datetime(2100, 1, 1, tzinfo=UTC))

SIZE = 396_000
HONEST = "".join(
    f"{at},2026-03-02 18:{at % 60:02},12.{at:03},R U2 F' L D2 B,B' D2 L' F U2 R',note {at},x,{at % 7}\n"
    for at in range(200)
)
HOSTILE = {
    "one letter": "R;" * (SIZE // 2),
    "short rows": ("R;" * 500 + "\n") * (SIZE // 1001),
    "sixty columns": ("".join(f"R{at};" for at in range(59)) + "\n") * 2_000,
    "other numbers": "\n".join(
        ";".join(str(row * 60 + at) for at in range(60)) for row in range(1_000)
    ),
    "dates": "\n".join(
        ";".join(f"{at % 28}.{row % 12}.{1900 + at + row}" for at in range(60))
        for row in range(500)
    ),
    "long texts": "\n".join(";".join(["R U " * 800] * 6) for _ in range(20)),
    "long numbers": "\n".join(",".join(["1 2 3 " * 500] * 6) for _ in range(20)),
    "open quotes": '"R;' * (SIZE // 3),
    "all separators": "R;,|\t" * (SIZE // 5),
    "groups": "\n".join(["((((R U)9)9)9,((((R U)9)9)9"] * 400),
}


def calls_of(action: Callable[[], object]) -> int:
    """How many Python functions ``action`` calls."""
    n_calls = 0

    def count(_frame: FrameType, event: str, _argument: Any) -> None:
        nonlocal n_calls
        n_calls += event == "call"

    sys.setprofile(count)
    try:
        action()
    finally:
        sys.setprofile(None)
    return n_calls


def guess_all(content: bytes) -> Sample | None:
    needs_mapping(SourceFile(content), CLOCK)
    try:
        sample = take_sample(SourceFile(content))
    except UploadRejectedError:
        return None
    open_questions(guess_mapping(sample).mapping, sample)
    return sample


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_a_hostile_file_costs_no_more_than_a_few_honest_ones(text):
    honest = calls_of(lambda: guess_all(HONEST.encode()))
    assert calls_of(lambda: guess_all(text.encode())) < 8 * honest


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_few_cells_are_judged_and_each_once_for_a_kind(text):
    sample = guess_all(text.encode())
    if sample is not None:  # five kinds; 20 rows for each of four separators, then the sample
        assert sample.kinds.n_judged <= 5 * (4 * 20 * 61 + 6_000 + 60)
        assert sum(map(len, sample.rows)) <= 6_000 + 60


def test_cells_of_one_letter_are_refused_at_once_or_looked_at_by_the_first():
    assert calls_of(lambda: guess_all(HOSTILE["one letter"].encode())) < 20_000
