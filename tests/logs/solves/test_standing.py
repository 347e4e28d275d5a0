import math

import pytest

from logs.solves.figures.standing import (
    FLUENT_FROM,
    RECENT,
    TARGET_FACTOR,
    Standing,
    chance_known,
    own_target_ms,
    standing,
)


def test_the_chance_is_that_of_knowledge_tracing():
    """Worked example W2b: sightings 0 0 1 1 1; knowledge tracing, Corbett and Anderson 1995."""
    seen = [chance_known("00111"[:n]) for n in range(1, 6)]
    assert seen == pytest.approx([0.0112, 0.0190, 0.8997, 0.9979, 1.0000], abs=1e-4)
    assert chance_known("") == 0


@pytest.mark.parametrize(
    ("recent", "expected"),
    [
        ("", Standing.UNMET),
        ("0", Standing.TWO_LOOK),
        ("1", Standing.ONE_LOOK),
        ("000000", Standing.TWO_LOOK),
        ("0000001", Standing.ONE_LOOK),  # an algorithm is not made by luck
        ("1111111", Standing.ONE_LOOK),
        ("1111110", Standing.ONE_LOOK),  # one slip unmakes nothing
        ("1111000", Standing.TWO_LOOK),  # three in a row do
        ("000000000000111", Standing.ONE_LOOK),  # learnt lately
        ("1" * RECENT, Standing.ONE_LOOK),
    ],
)
def test_the_latest_looks_tell(recent: str, expected: Standing):
    assert standing(recent) is expected


def fluent(**changed: object) -> Standing:
    values: dict[str, object] = {"n_timed": FLUENT_FROM, "recognition_ms": 900.0}
    values |= {"target_ms": 900.0} | changed
    return standing("1111", **values)  # type: ignore[arg-type]  # any argument of it


def test_fluent_is_one_look_within_the_target():
    assert fluent() is Standing.FLUENT
    assert fluent(recognition_ms=900.1) is Standing.ONE_LOOK
    assert fluent(n_timed=FLUENT_FROM - 1) is Standing.ONE_LOOK
    assert fluent(recognition_ms=None) is Standing.ONE_LOOK
    assert fluent(target_ms=None) is Standing.ONE_LOOK
    assert standing("0000", n_timed=9, recognition_ms=1.0, target_ms=2.0) is Standing.TWO_LOOK


def test_the_target_is_the_members_own_pace():
    assert own_target_ms([math.log(ms) for ms in (500, 800, 3000)]) == pytest.approx(
        TARGET_FACTOR * 800
    )
    assert own_target_ms([math.log(500), math.log(800)]) is None
    assert own_target_ms([]) is None


def test_twice_as_slow_all_over_is_the_same_standing():
    times = [500.0, 620.0, 700.0, 1400.0]
    for factor in (1, 2):
        target = own_target_ms([math.log(factor * ms) for ms in times])
        found = [fluent(recognition_ms=factor * ms, target_ms=target) for ms in times]
        assert found == [Standing.FLUENT] * 3 + [Standing.ONE_LOOK]
