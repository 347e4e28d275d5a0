"""What a first look was mistaken for. Looks are as `cubecore.jsonlines.look_json` writes them."""

from collections import Counter
from typing import Any

import pytest

from logs.solves.services.case_counts import (
    SUM_FIELDS,
    FirstLook,
    Mistake,
    count_sightings,
    mistakes,
    read_first_look,
)

T_OLL = "F R U R' U' F'"  # OLL 45, common practice


def look(outcome: str, algorithm: str = "", *, known: bool = True, misfire=None) -> dict[str, Any]:
    return {"outcome": outcome, "algorithm": algorithm, "known": known, "misfire": misfire}


def row(one_look: bool, first: dict[str, Any], **changed) -> dict[str, Any]:
    values = {
        "solve__kind": "solve",
        "solve__done_at": None,
        "stage": "oll",
        "case": "33",
        "n_looks": 1 if one_look else 2,
        "is_one_look": one_look,
        "recognition_ms": 800,
        "execution_ms": 1500,
        "solve_id": 1,
        "told": None if one_look else [first],
    }
    return values | changed


HIT = row(True, look("finished"))
STEP = row(False, look("edges", T_OLL))


def sums(*rows: dict[str, Any]) -> dict[str, float]:
    """The sums of one case by name."""
    ((_, found),) = count_sightings(rows).totals().items()
    return dict(zip(SUM_FIELDS, found, strict=True))


def made(*rows: dict[str, Any]) -> Counter[Mistake]:
    """The mistakes made in one case."""
    ((_, looks),) = count_sightings(rows).looks.items()
    return mistakes(looks)


def test_a_named_misfire_counts_whatever_was_known():
    misfire = {"kind": "other_case", "stage": "oll", "case": 26, "quarter_turns": None}
    found = read_first_look(look("misfire", misfire=misfire), "oll", "27")
    assert found == FirstLook(Mistake("oll", "26", "other_case"))
    assert made(row(False, look("misfire", misfire=misfire))).total() == 1


def test_a_step_by_another_cases_algorithm_counts_only_where_the_case_was_known():
    assert made(STEP, STEP, STEP).total() == 0
    assert made(HIT, HIT, STEP) == {Mistake("oll", "45", "other_case"): 1}
    # Three in a row, and the case is known no longer: it is how they solve it now.
    assert made(HIT, HIT, *[STEP] * 6).total() == 3


def test_its_own_algorithm_that_did_a_step_was_a_wrong_hold():
    own = row(False, look("edges", T_OLL), case="45")
    known = row(True, look("finished"), case="45")
    assert made(known, known, own) == {Mistake("oll", "45", "wrong_hold"): 1}


@pytest.mark.parametrize(
    "first",
    [
        look("finished", T_OLL),
        look("edges", "R U F", known=False),
        look("misfire", T_OLL),  # the engine could not name it
    ],
)
def test_what_is_no_mistake_or_has_no_name_counts_nowhere(first: dict[str, Any]):
    assert read_first_look(first, "oll", "33") == FirstLook(None)


def test_a_solve_that_ended_before_a_look_counts_as_met_alone():
    met = row(False, {}, n_looks=0, told=[])
    assert (sums(met)["n"], sums(met)["n_looked"]) == (1, 0)
    assert count_sightings([met]).looks == {}


def test_a_time_of_zero_is_no_time():
    values = sums(HIT, row(True, look("finished"), recognition_ms=0))
    assert (values["n_one_look"], values["n_timed"]) == (2, 1)


def test_solves_and_drills_are_counted_apart():
    totals = count_sightings([HIT, row(True, look("finished"), solve__kind="drill")]).totals()
    assert {key.kind: found[0] for key, found in totals.items()} == {"solve": 1, "drill": 1}
