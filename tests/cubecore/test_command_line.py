"""``python -m cubecore`` as another program calls it: texts in, texts out, exit codes."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
GOOD = '{"scramble": "R U\'", "time": 9.5, "solution": "U R\'", "turn_ms": [800, 950]}'
NOTATION = '{"scramble": "R Q", "time": 9.5}'
TIME_ONLY = '{"scramble": "R U\'", "time": "1:02.34", "penalty": "DNF"}'


def run(*arguments: str, given: bytes | str = b"") -> subprocess.CompletedProcess[str]:
    data = given.encode() if isinstance(given, str) else given
    done = subprocess.run(
        [sys.executable, "-m", "cubecore", *arguments],
        input=data,
        capture_output=True,
        cwd=ROOT,
        timeout=60,
        check=False,
    )
    out, err = done.stdout.decode("utf-8"), done.stderr.decode("utf-8")
    return subprocess.CompletedProcess(done.args, done.returncode, out, err)


def test_label_writes_one_line_for_each_line_in_order_and_never_stops():
    lines = [GOOD, "", "not json", NOTATION, "[1]", TIME_ONLY, '{"scramble": "R U"}', GOOD]
    done = run("label", given="\n".join(lines) + "\n")
    labels = [json.loads(line) for line in done.stdout.splitlines()]

    assert done.returncode == 0, done.stderr
    assert [label["status"] for label in labels] == [
        "solved", "refused", "refused", "refused", "refused", "dnf", "refused", "solved",
    ]  # fmt: skip
    assert labels[0] == labels[-1]
    assert labels[3]["problem"]["column"] == 3
    assert labels[3]["problem"]["token"] == "Q"


def test_label_writes_the_keys_other_programs_read():
    # The key names are fixed by the job's description.
    sune = "R U R' U R U2 R'"
    row = {
        "scramble": "R U2 R' U' R U' R'",
        "time": "4.00",
        "solution": sune,
        "turn_ms": [840, 1000, 1200, 1400, 1600, 1800, 1970],
    }
    (line,) = run("label", given=json.dumps(row)).stdout.splitlines()
    label = json.loads(line)

    assert (label["status"], label["cross"], label["kind"]) == ("solved", "yellow", "drill")
    assert (label["f2l_ms"], label["final_auf_ms"]) == (0, 0)
    assert (label["oll"]["case"], label["oll"]["angle"]) == (27, 0)
    assert (label["oll"]["recognition_ms"], label["oll"]["execution_ms"]) == (840, 1130)
    (look,) = label["oll"]["looks"]
    assert (look["outcome"], look["algorithm"], look["turns"]) == ("finished", sune, 7)
    assert (look["recognition_ms"], look["execution_ms"], look["lining_up_ms"]) == (840, 1130, 0)
    assert label["pll"]["case"] == "skip"


def test_label_writes_null_for_what_a_row_cannot_support():
    (line,) = run("label", given=TIME_ONLY).stdout.splitlines()
    label = json.loads(line)

    assert label.pop("status") == "dnf"
    assert label.pop("reason") == "no_solution"
    assert label.pop("pair_ms") in ([], None)
    assert set(label.values()) == {None}


def test_bytes_that_are_no_utf8_are_a_refused_row_and_not_the_end():
    done = run("label", given=b'{"scramble": "\xff\xfe", "time": 1}\n' + GOOD.encode() + b"\n")
    labels = [json.loads(line) for line in done.stdout.splitlines()]

    assert [label["status"] for label in labels] == ["refused", "solved"]


def test_a_lone_surrogate_is_answered():
    done = run("label", given='{"scramble": "\\ud800", "time": 1}\n' + GOOD)
    labels = [json.loads(line) for line in done.stdout.splitlines()]

    assert [label["status"] for label in labels] == ["refused", "solved"]


def test_nothing_in_nothing_out():
    assert run("label").stdout == ""


def test_a_reader_that_leaves_early_is_no_crash():
    lines = (GOOD + "\n") * 3000
    with subprocess.Popen(
        [sys.executable, "-m", "cubecore", "label"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=ROOT,
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        try:
            process.stdin.write(lines.encode())
            process.stdin.close()
        except BrokenPipeError:
            pass
        said = process.stderr.read()
        process.wait(timeout=60)

    assert b"Traceback" not in said


def test_show_prints_one_solve_stage_by_stage():
    row = {
        "scramble": "R U2 R' U' R U' R'",
        "time": "4.00",
        "solution": "R U R' U R U2 R'",
        "turn_ms": [840, 1000, 1200, 1400, 1600, 1800, 1970],
    }
    done = run("show", "--line", "2", given=GOOD + "\n" + json.dumps(row))

    assert done.returncode == 0
    for said in (
        "4.00",
        "solved",
        "yellow cross",
        "OLL 27 Sune",
        "0.84",
        "1.13",
        "finished",
        "skip",
    ):
        assert said in done.stdout


def test_show_says_which_line_is_wrong_and_why():
    done = run("show", "--line", "2", given=GOOD + "\n" + NOTATION)

    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith("Line 2: ")
    assert "Column 3" in done.stderr


def test_show_of_a_line_that_is_not_there_says_so():
    done = run("show", "--line", "7", given=GOOD)

    assert done.returncode == 2
    assert "no line 7" in done.stderr


@pytest.mark.parametrize("name", [["27"], ["OLL", "27"], ["oll 27"]])
def test_case_prints_a_case_with_its_chance_and_algorithms(name):
    done = run("case", *name)

    assert done.returncode == 0
    assert done.stdout.startswith("OLL 27 Sune")
    assert "4 times in 216, once in 54 solves" in done.stdout
    assert "R U R' U R U2 R'  (7 HTM, 7 STM)" in done.stdout


def test_case_of_an_unknown_name_says_what_there_is():
    done = run("case", "58")

    assert done.returncode == 2
    assert "'58'" in done.stderr
    assert "1-57" in done.stderr


def test_no_command_is_a_usage_error():
    assert run().returncode == 2
