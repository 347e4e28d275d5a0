"""Lines that are cut, shuffled, corrupted or no rows at all: refused or labelled, never a crash."""

import json
import random
from functools import cache

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cubecore.book import default_book
from cubecore.jsonlines import MAX_LINE, label_json, label_line
from cubecore.rows import FIELDS
from tests.cubecore.solves import TypedSolve, typed_solves, written_times

STATUSES = {"solved", "plus_two", "dnf", "not_solved", "refused"}
KEYS = {
    "no_splits",
    "status", "cross", "kind", "reason", "cross_ms", "pair_ms", "f2l_ms", "oll", "pll",
    "final_auf_ms",
}  # fmt: skip


def labelled(text: str) -> dict[str, object]:
    """The label of ``text``, which must be a whole answer whatever the text is."""
    label = label_line(text, default_book())
    assert label["status"] in STATUSES
    assert label.keys() - {"problem"} == KEYS
    if label["status"] in ("refused", "not_solved"):
        assert label.keys() - KEYS == {"problem"}
        assert label["problem"].keys() >= {"code", "message", "column", "token"}
        assert label["problem"]["message"].rstrip().endswith((".", "…"))
    assert json.loads(label_json(text, default_book())) == label
    return label


@cache
def good_fields() -> dict[str, object]:
    solution = (
        "x2 F R' D2 y R U R' U' L' U L U R U' R' y' U2 R U R' r U R' U' r' F R F' "
        "U R U R' U' R' F R2 U' R' U' R U R' F' U2"
    )
    solve = TypedSolve(solution, written_times(42, 5))
    row = solve.row()
    assert row.turn_ms is not None
    return {
        "done_at": "2025-02-03T18:04:05+01:00",
        "scramble": row.scramble,
        "time": "12.34",
        "penalty": "",
        "solution": row.solution,
        "turn_ms": sorted(ms // 10 for ms in row.turn_ms),
        "note": "club night",
    }


def test_the_good_row_is_good():
    label = labelled(json.dumps(good_fields()))

    assert label["status"] == "solved", label
    assert label["oll"] is not None


@given(st.text())
@example("")
@example("\ufeff{}")
@example("{}")
@example("null")
@example('{"scramble": "R", "scramble": "U", "time": 1}')
@example('{"scramble": "R", "time": NaN}')
@example('{"scramble": "R", "time": ' + "9" * 6000 + "}")
@example('{"scramble": "R", "time": 1e999}')
@example("[" * 100_000)
@example('{"scramble": "R", "time": ' + "[" * 990 + "]" * 990 + "}")
@example('{"scramble": "U", "time": 1, "penalty": "+2", "solution": "x x\'", "turn_ms": [1, 2]}')
def test_any_text_gets_an_answer(text):
    labelled(text)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=8,
)


@given(st.dictionaries(st.sampled_from(FIELDS), JSON))
def test_any_values_in_a_rows_fields_get_an_answer(values):
    labelled(json.dumps(values))


@settings(max_examples=200)
@given(st.sampled_from(FIELDS), JSON)
def test_a_good_row_with_one_field_spoilt_gets_an_answer(field, value):
    labelled(json.dumps(good_fields() | {field: value}))


@settings(max_examples=200)
@given(st.data())
def test_a_row_cut_anywhere_is_refused(data):
    text = json.dumps(good_fields())
    cut = data.draw(st.integers(0, len(text) - 1))

    assert labelled(text[:cut])["status"] == "refused"


@settings(max_examples=200)
@given(st.data())
def test_a_row_with_characters_changed_gets_an_answer(data):
    text = list(json.dumps(good_fields()))
    for _ in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(0, len(text) - 1))
        text[place] = data.draw(st.characters() | st.sampled_from("URFDLBxyzMESrufdlb'2()/ 0[]{}"))
    labelled("".join(text))


@settings(max_examples=150, deadline=None)
@given(typed_solves(), st.sampled_from(["shuffle", "drop", "double", "reverse"]), st.data())
def test_a_solution_with_its_turns_disturbed_is_refused_or_labelled(solve, how, data):
    tokens = solve.solution.split()
    place = data.draw(st.integers(0, len(tokens) - 1))
    if how == "shuffle":
        random.Random(place).shuffle(tokens)
    elif how == "drop":
        del tokens[place]
    elif how == "double":
        tokens.insert(place, tokens[place])
    else:
        tokens.reverse()
    row = solve.row()
    fields = {
        "scramble": row.scramble,
        "time": row.time_ms / 1000,
        "solution": " ".join(tokens),
        "turn_ms": list(row.turn_ms or ()),
        "penalty": data.draw(st.sampled_from(["", "+2", "DNF"])),
    }

    labelled(json.dumps(fields))


@pytest.mark.parametrize("field", ["scramble", "time"])
def test_a_row_without_what_every_row_needs_names_it(field):
    fields = {k: v for k, v in good_fields().items() if k != field}
    problem = labelled(json.dumps(fields))["problem"]

    assert isinstance(problem, dict)
    assert (problem["code"], problem["field"]) == ("missing_field", field)


def test_a_line_may_be_so_long_and_no_longer():
    text = json.dumps({"scramble": "R", "time": 1})
    filled = text + " " * (MAX_LINE - len(text))
    problem = labelled(filled + " ")["problem"]

    assert labelled(filled)["status"] == "solved"
    assert isinstance(problem, dict)
    assert problem["code"] == "line_too_long"
    assert str(MAX_LINE + 1) in problem["message"]


@pytest.mark.parametrize(
    ("text", "code", "said"),
    [
        ("", "bad_json", "Column 1"),
        ('{"scramble": "R" "time": 1}', "bad_json", "Column 18"),
        ("[1]", "bad_json", "no object"),
        ('{"scramble": "R", "time": NaN}', "bad_json", "NaN"),
        ("[" * 100_000, "bad_json", "nested"),
        ('{"scramble": "R", "time": 1, "time": 2}', "duplicate_key", "'time'"),
        ('{"scramble": "R", "time": ' + "9" * 6000 + "}", "bad_time", "time"),
    ],
)
def test_a_line_that_is_no_row_says_why(text, code, said):
    problem = labelled(text)["problem"]

    assert isinstance(problem, dict)
    assert problem["code"] == code
    assert said in problem["message"]
