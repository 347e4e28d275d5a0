"""Every row of the demo is read as what it was made as.

The truth is written by the demo's own solver, cube and recogniser, which share nothing with the
engine but the notation's letters and the tables' texts. Where a row is open to more than one
reading (`fixtures.demo.maker.truth` says when, and marks the row before any engine has seen it), its looks
are counted here, not compared; all else of it is.
"""

from collections import Counter
from typing import Any

import pytest

from cubecore.book import default_book
from cubecore.errors import CubeError, NotSolvedError
from cubecore.jsonlines import replay_json
from cubecore.replay import replay_row
from cubecore.rows import parse_row
from cubecore.turn_times import HESITATION_MULTIPLE
from fixtures.demo.maker.trail import HESITATION_GAPS
from tests.demo.reading import LOGS, DemoRow, demo_rows

OWN_KEYS = {"goal", "slip", "borderline"}  # What the solver meant; no reader can know it.
PLACE_KEYS = {"row", "line", "doubled", "log", "fate", "time_ms", "status", "problem", "open"}
# Rows open to two readings, by reason: counted when the demo was made.
OPEN = {
    # A dot's two algorithms for another dot: without times, with a stumble between, or to no end.
    "passes_f2l": 76,
    "short_pause": 15,
    "unfinished": 2,
}


def read(row: DemoRow) -> dict[str, Any]:
    try:
        parsed = parse_row(row.values)
        result = replay_row(parsed, default_book())
    except NotSolvedError as error:
        return {"status": "not_solved", "problem": error.code}
    except CubeError as error:
        return {"status": "refused", "problem": error.code}
    return replay_json(result) | {
        "time_ms": parsed.time_ms,
        "hesitations": list(result.hesitations),
    }


def look_differences(expected: dict[str, Any], got: dict[str, Any]) -> list[str]:
    wanted = {key: value for key, value in expected.items() if key not in OWN_KEYS}
    if wanted["algorithm"] is None:  # Nothing of the book: a false start.
        del wanted["algorithm"]
        wanted["known"] = False
    return [f"{k}: {v!r}, read {got[k]!r}" for k, v in wanted.items() if got[k] != v]


def stage_differences(
    expected: dict[str, Any] | None, got: dict[str, Any] | None, *, with_looks: bool
) -> list[str]:
    if expected is None or got is None:
        return [] if expected is got else [f"stage {expected!r}, read {got!r}"]
    keys = expected.keys() - {"looks", "recognition_ms", "execution_ms"}
    if with_looks:
        keys |= {"recognition_ms", "execution_ms"}
    found = [f"{k}: {expected[k]!r}, read {got[k]!r}" for k in keys if got[k] != expected[k]]
    if not with_looks:
        return found
    if len(expected["looks"]) != len(got["looks"]):
        return [*found, f"{len(expected['looks'])} looks, read {len(got['looks'])}"]
    for one, other in zip(expected["looks"], got["looks"], strict=True):
        found += look_differences(one, other)
    return found


def differences(row: DemoRow) -> list[str]:
    truth, got = row.truth, read(row)
    found = [] if got["status"] == truth["status"] else [f"status {got['status']}"]
    if "problem" in truth:
        return found + ([] if got.get("problem") == truth["problem"] else [str(got)])
    if got["time_ms"] != truth["time_ms"]:
        found.append(f"time {got['time_ms']}")
    for stage in ("oll", "pll"):
        found += stage_differences(truth.get(stage), got[stage], with_looks="open" not in truth)
    for key in truth.keys() - PLACE_KEYS - {"oll", "pll"}:
        if got[key] != truth[key]:
            found.append(f"{key}: {truth[key]!r}, read {got[key]!r}")
    return found


@pytest.mark.parametrize("path", LOGS, ids=lambda path: path.stem)
def test_every_row_is_read_as_what_it_was_made_as(path):
    wrong = {row.name: found for row in demo_rows(path) if (found := differences(row))}
    assert wrong == {}


def test_the_rows_open_to_two_readings_are_these_many():
    counts: Counter[str] = Counter()
    for path in LOGS:
        for row in demo_rows(path):
            counts.update(row.truth.get("open", ()))
    assert dict(counts) == OPEN


def test_for_each_reason_some_row_is_read_otherwise_than_it_was_meant():
    read_otherwise = set()
    for path in LOGS:
        for row in demo_rows(path):
            reasons = row.truth.pop("open", ())
            if reasons and differences(row):
                read_otherwise.update(reasons)
    assert read_otherwise == OPEN.keys()


def test_a_changed_truth_is_noticed():
    row = next(
        row for row in demo_rows(LOGS[0]) if "oll" in row.truth and not row.truth.get("open")
    )
    look = row.truth["oll"]["looks"][0]
    look["execution_ms"] += 1
    assert differences(row) == [
        f"execution_ms: {look['execution_ms']}, read {look['execution_ms'] - 1}"
    ]


def test_truth_and_engine_agree_on_how_long_a_hesitation_is():
    assert HESITATION_GAPS == HESITATION_MULTIPLE
