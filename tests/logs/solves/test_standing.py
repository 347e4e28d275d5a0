import math

import numpy as np
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


def test_one_look_is_what_homework_calls_learnt():
    """Bayes' rule by hand at the rates of homework's check, 85 against 30 in 100; Wald 1945."""
    hit, miss = 0.85 / 0.30, 0.15 / 0.70
    odds = 1 * hit
    assert chance_known("1") == pytest.approx(odds / (1 + odds))
    knows = odds / (1 + odds)
    knows += 0.12 * (1 - knows) - 0.02 * knows
    odds = knows / (1 - knows) * miss
    assert chance_known("10") == pytest.approx(odds / (1 + odds))
    assert chance_known("") == 0


@pytest.mark.parametrize(
    ("recent", "expected"),
    [
        ("", Standing.UNMET),
        ("0", Standing.TWO_LOOK),
        ("1", Standing.ONE_LOOK),
        ("000000", Standing.TWO_LOOK),
        ("0000001", Standing.TWO_LOOK),  # one hit is no rule
        ("000000000000001", Standing.TWO_LOOK),
        ("100000000000000", Standing.TWO_LOOK),
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


@pytest.mark.parametrize(("rate", "most"), [(0.02, 0.005), (0.10, 0.02), (0.30, 0.16)])
def test_a_case_that_is_not_learnt_is_seldom_called_one_look(rate: float, most: float):
    """Twelve looks at a rate that homework would not verify; 13 % were measured at .30, 1 % at .10."""
    rng = np.random.default_rng(3)
    looks = ["".join("1" if hit else "0" for hit in rng.random(12) < rate) for _ in range(2_000)]
    assert np.mean([standing(recent) is Standing.ONE_LOOK for recent in looks]) <= most


def test_a_learnt_case_is_called_one_look():
    rng = np.random.default_rng(3)
    looks = ["".join("1" if hit else "0" for hit in rng.random(8) < 0.85) for _ in range(1_000)]
    assert np.mean([standing(recent) is Standing.ONE_LOOK for recent in looks]) >= 0.88
