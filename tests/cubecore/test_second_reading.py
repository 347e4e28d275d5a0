"""The engine against a second reading of the rules, over solves made by many methods.

``MADE_SOLVES=2000`` makes so many by each method; without it, a few.
"""

import os
import random
from typing import Any

import pytest

from cubecore.book import default_book
from cubecore.outcomes import Outcome
from cubecore.replay import replay_row
from cubecore.results import LastLayerStage, Replay
from tests.cubecore.made_solves import (
    METHODS,
    NOT_LAYERED,
    STYLES,
    MadeSolve,
    is_mixed,
    layered,
    logged_row,
)
from tests.cubecore.plain_reading import Reading

N = int(os.environ.get("MADE_SOLVES", "6"))


def told_stage(stage: LastLayerStage) -> dict[str, Any]:
    return {
        "case": str(stage.case),
        "skip": None if stage.skip is None else stage.skip.value,
        "stage_ms": stage.stage_ms,
        "looks": [
            {
                "outcome": look.outcome.value,
                "case": (look.case.stage.value, look.case.text),
                "done": None
                if look.done is None
                else (look.done.case.stage.value, look.done.case.text, look.done.quarter_turns),
                "start": look.start,
                "end": look.end,
                "times": (look.recognition_ms, look.execution_ms, look.lining_up_ms),
            }
            for look in stage.looks
        ],
    }


def told(result: Replay) -> dict[str, Any]:
    """What the engine says, in the words of the second reading."""
    if result.cross is None:
        return {"cross": None}
    words = {"cross": result.cross.name, "f2l": result.f2l_turn}
    stages = (("oll", result.oll), ("pll", result.pll))
    return words | {name: told_stage(stage) for name, stage in stages if stage is not None}


def read_both(made: MadeSolve, rng: random.Random, style: str) -> tuple[Replay, dict[str, Any]]:
    row = logged_row(made, rng, style)
    ends = None if row.turn_ms is None else list(row.turn_ms)
    reading = Reading(row.scramble, (row.solution or "").split(), ends)
    return replay_row(row, default_book()), reading.told()


@pytest.mark.parametrize("method", METHODS)
def test_layered_solves_are_read_alike_lose_no_last_layer_and_have_no_misfire(method):
    rng = random.Random(f"layered {method}")
    for n in range(N):
        made, style = layered(rng, method), STYLES[n % len(STYLES)]
        result, reading = read_both(made, rng, style)
        assert told(result) == reading, (made, style)
        assert result.reason is None, (made, style)
        looks = [look for stage in (result.oll, result.pll) if stage for look in stage.looks]
        assert Outcome.MISFIRE not in {look.outcome for look in looks}, (made, style)


@pytest.mark.parametrize("make", NOT_LAYERED, ids=lambda make: make.__name__)
def test_other_methods_are_read_alike_and_have_no_last_layer(make):
    rng = random.Random(f"other {make.__name__}")
    n_sightings = 0
    for n in range(N):
        made, style = make(rng), STYLES[n % len(STYLES)]
        if not is_mixed(made):
            continue
        result, reading = read_both(made, rng, style)
        assert told(result) == reading, (made, style)
        n_sightings += result.reason is None
    assert n_sightings == 0
