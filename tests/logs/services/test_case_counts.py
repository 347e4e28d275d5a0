"""What a first look was mistaken for. Looks are as `cubecore.jsonlines.look_json` writes them."""

from typing import Any

import pytest

from logs.services.case_counts import CaseCount, FirstLook, Mistake, count_cases, read_first_look

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
        "looks": [first],
    }
    return values | changed


HIT = row(True, look("finished"))
STEP = row(False, look("edges", T_OLL))


def counted(*rows: dict[str, Any]) -> CaseCount:
    (count,) = count_cases(rows).values()
    return count


def test_a_named_misfire_counts_whatever_was_known():
    misfire = {"kind": "other_case", "stage": "oll", "case": 26, "quarter_turns": None}
    found = read_first_look(look("misfire", misfire=misfire), "oll", "27")
    assert found == FirstLook(Mistake("oll", "26", "other_case"))
    assert counted(row(False, look("misfire", misfire=misfire))).mistakes().total() == 1


def test_a_step_by_another_cases_algorithm_counts_only_where_the_case_was_known():
    assert counted(STEP, STEP, STEP).mistakes().total() == 0
    assert counted(HIT, HIT, STEP).mistakes() == {Mistake("oll", "45", "other_case"): 1}
    # Three in a row, and the case is known no longer: it is how they solve it now.
    assert counted(HIT, HIT, *[STEP] * 6).mistakes().total() == 3


def test_its_own_algorithm_that_did_a_step_was_a_wrong_hold():
    own = row(False, look("edges", T_OLL), case="45")
    known = row(True, look("finished"), case="45")
    assert counted(known, known, own).mistakes() == {Mistake("oll", "45", "wrong_hold"): 1}


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
    count = counted(row(False, {}, n_looks=0, looks=[]))
    assert (count.n, count.values()["n_looked"], count.values()["recent"]) == (1, 0, "")


def test_a_time_of_zero_is_no_time():
    values = counted(HIT, row(True, look("finished"), recognition_ms=0)).values()
    assert (values["n_one_look"], values["n_timed"]) == (2, 1)


def test_solves_and_drills_are_counted_apart():
    counts = count_cases([HIT, row(True, look("finished"), solve__kind="drill")])
    assert {key.kind: count.n for key, count in counts.items()} == {"solve": 1, "drill": 1}
