"""What a first look was mistaken for. Looks are as `cubecore.jsonlines.look_json` writes them."""

import math
from collections import Counter
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from logs.solves.figures.counts import (
    LAST_LAYER,
    When,
    case_mistakes,
    case_total,
    count_sightings,
    count_weeks,
    mistaken_looks,
)
from logs.solves.figures.mistakes import (
    Cell,
    FirstLook,
    Mistake,
    read_first_look,
    step_algorithms,
)

T_OLL = {"stage": "oll", "case": 45, "quarter_turns": None}  # F R U R' U' F', common practice
HELD = {"stage": "oll", "case": 33, "quarter_turns": 1}


def look(outcome: str, done: dict[str, Any] | None = None) -> dict[str, Any]:
    return {"outcome": outcome, "done": done}


def row(one_look: bool, first: dict[str, Any], **changed) -> dict[str, Any]:
    values = {
        "solve__kind": "solve",
        "solve__done_at": None,
        "stage": "oll",
        "case": "33",
        "n_looks": 1 if one_look else 2,
        "is_one_look": one_look,
        "alike_recognition_ms": 800,
        "alike_execution_ms": 1500,
        "solve_id": 1,
        "told": None if one_look else [first],
    }
    return values | changed


HIT = row(True, look("finished"))


def one_week(*rows: dict[str, Any]) -> dict[str, Any]:
    """The fields of the tally of one case in one week."""
    ((_, week),) = count_sightings(rows).items()
    return week.values()


def made(*rows: dict[str, Any]) -> Counter[Mistake]:
    """The mistakes made in one case, by its looks and by its weeks alike."""
    cells = count_sightings(rows).values()
    by_look = Counter(
        mistake for _, mistake in mistaken_looks([look for week in cells for look in week.looks])
    )
    assert +case_mistakes([week.values() for week in cells]) == by_look
    return by_look


@pytest.mark.parametrize("outcome", ["step", "misfire"])
def test_a_wrong_hold_of_its_own_algorithm_counts_whatever_was_known(outcome: str):
    assert read_first_look(look(outcome, HELD)) == FirstLook(Mistake("oll", "33", "wrong_hold"))
    assert made(row(False, look(outcome, HELD))).total() == 1


@pytest.mark.parametrize("outcome", ["edges", "corners", "step", "misfire"])
def test_another_cases_algorithm_counts_only_where_the_case_was_known(outcome: str):
    # Who does not know the case takes steps.
    step = row(False, look(outcome, T_OLL))
    assert made(step, step, step).total() == 0
    assert made(HIT, HIT, HIT, step, step) == {Mistake("oll", "45", "other_case"): 2}


def test_an_algorithm_made_first_in_three_other_cases_is_a_step():
    def cells(kind: str, *shown: str) -> list[Cell]:
        return [Cell("oll", case, "oll", "45", kind) for case in shown]

    assert step_algorithms(cells("other_case", "33", "37", "51")) == {("oll", "45")}
    assert step_algorithms(cells("other_case", "33", "37") + cells("wrong_hold", "45")) == set()


@pytest.mark.parametrize("outcome", ["edges", "corners"])
def test_its_own_algorithm_that_did_half_of_the_stage_counts_where_the_case_was_known(outcome):
    # Who does not know it looks at the edges alone, and holds the case by them.
    half = row(False, look(outcome, HELD))
    assert made(half).total() == 0
    assert made(HIT, half) == {Mistake("oll", "33", "wrong_hold"): 1}


@pytest.mark.parametrize(("days", "n"), [(364, 1), (366, 0)])
def test_what_went_in_one_look_over_a_year_ago_is_known_no_longer(days: int, n: int):
    now = datetime(2026, 11, 1, tzinfo=UTC)
    before = row(True, look("finished"), solve__done_at=now - timedelta(days=days))
    assert made(before, row(False, look("step", T_OLL), solve__done_at=now)).total() == n


@pytest.mark.parametrize(
    "first",
    [
        look("finished", T_OLL),
        look("repair", T_OLL),
        look("edges"),
        look("misfire"),  # the book has no such algorithm
    ],
)
def test_what_is_no_mistake_or_has_no_name_counts_nowhere(first: dict[str, Any]):
    assert read_first_look(first) == FirstLook(None)


def test_a_solve_that_ended_before_a_look_counts_as_met_alone():
    met = row(False, {}, n_looks=0, told=[])
    assert (one_week(met)["n"], one_week(met)["n_looked"]) == (1, 0)
    assert one_week(met)["looks"] == ""


def test_a_time_of_zero_is_no_time():
    values = one_week(HIT, row(True, look("finished"), alike_recognition_ms=0))
    assert (values["n_one_look"], values["n_timed"]) == (2, 1)


def test_solves_and_drills_are_counted_apart():
    cells = count_sightings([HIT, row(True, look("finished"), solve__kind="drill")])
    assert {key.kind: week.n for (key, _), week in cells.items()} == {"solve": 1, "drill": 1}


def test_what_was_known_before_a_week_counts_in_it():
    weeks = [one_week(one) for one in (HIT, HIT, row(False, look("edges", T_OLL)))]
    assert case_mistakes(weeks) == {Mistake("oll", "45", "other_case"): 1}
    assert case_mistakes(weeks[2:]) == {Mistake("oll", "45", "other_case"): 0}


def test_a_case_is_what_its_weeks_come_to_together():
    last = (row(True, {}, alike_recognition_ms=400), row(False, look("edges")))
    total = case_total([one_week(*[HIT] * 20), one_week(*last)])
    assert (total["n"], total["n_one_look"], total["n_timed"]) == (22, 21, 21)
    assert total["recognition_ms_sum"] == 20 * 800 + 400
    assert total["recognition_log_sum"] == pytest.approx(20 * math.log(800) + math.log(400))
    assert total["recent"] == "1" * 21 + "0"


def test_the_newest_24_looks_tell_a_case_s_standing():
    weeks = [
        one_week(*[HIT] * 20),
        one_week(*[row(False, look("step"))] * 20),
        one_week(*[HIT] * 2),
    ]
    assert case_total(weeks)["recent"] == "11" + "0" * 20 + "11"


@pytest.mark.parametrize(("n_since", "n"), [(23, 1), (24, 0)])
def test_what_went_in_one_look_before_the_newest_24_looks_is_known_no_longer(n_since: int, n: int):
    plain, taken = row(False, look("step")), row(False, look("misfire", T_OLL))
    assert made(HIT, *[plain] * n_since, taken).total() == n


def test_a_last_layer_is_timed_in_solves_that_count():
    times = dict(zip(LAST_LAYER, (500, 1000, 700, 1300), strict=True))
    solves = [
        {"id": number, "kind": "solve", "done_at": None, "status": status} | times
        for number, status in ((2001, "solved"), (2002, "dnf"), (2999, "plus_two"))
    ]
    solves[2] |= {LAST_LAYER[0]: None}
    week = count_weeks(solves)["solve", When(None, 2)]
    assert (week["n"], week["n_timed"], week["last_layer_ms_sum"]) == (3, 1, 3500)


def test_solves_without_a_date_are_counted_by_thousands_of_their_numbers():
    numbers = (1, 999, 1000, 2500)
    cells = count_sightings(row(True, look("finished"), solve_id=number) for number in numbers)
    assert [(when.part, week.n) for (_, when), week in cells.items()] == [(0, 2), (1, 1), (2, 1)]
