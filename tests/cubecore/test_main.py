"""The commands called within the process: exit codes, and a module run as a program."""

import io
import json
import runpy
import sys

import pytest

from cubecore.__main__ import main

GOOD = '{"scramble": "R U\'", "time": 9.5, "solution": "U R\'", "turn_ms": [800, 950]}\n'


def given(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(text))


def test_label_answers_every_line(monkeypatch, capsys):
    given(monkeypatch, GOOD + "no row\n")

    assert main(["label"]) == 0
    statuses = [json.loads(line)["status"] for line in capsys.readouterr().out.splitlines()]
    assert statuses == ["solved", "refused"]


@pytest.mark.parametrize(
    ("text", "line", "code", "said"),
    [
        (GOOD, "1", 0, "solved"),
        (GOOD, "2", 2, "no line 2"),
        ("no row\n", "1", 2, "Line 1: "),
    ],
)
def test_show_answers_with_the_solve_or_what_is_wrong(monkeypatch, capsys, text, line, code, said):
    given(monkeypatch, text)

    assert main(["show", "--line", line]) == code
    written = capsys.readouterr()
    assert said in (written.err if code else written.out)


@pytest.mark.parametrize(("name", "code"), [(["PLL", "T"], 0), (["58"], 2)])
def test_case_answers_with_the_case_or_what_there_is(capsys, name, code):
    assert main(["case", *name]) == code
    written = capsys.readouterr()
    assert ("PLL T" in written.out) == (code == 0)
    assert ("1-57" in written.err) == (code == 2)


class Gone(io.StringIO):
    """A reader that has left."""

    def write(self, text: str) -> int:
        raise BrokenPipeError


@pytest.mark.parametrize("has_left", [False, True])
def test_run_as_a_program_it_ends_with_its_exit_code(monkeypatch, has_left):
    out, err = (Gone() if has_left else io.StringIO()), io.StringIO()
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(GOOD.encode())))
    monkeypatch.setattr(sys, "stdout", out)
    monkeypatch.setattr(sys, "stderr", err)
    monkeypatch.setattr(sys, "argv", ["cubecore", "label"])
    monkeypatch.delitem(sys.modules, "cubecore.__main__")
    with pytest.raises(SystemExit) as ended:
        runpy.run_module("cubecore", run_name="__main__")

    assert ended.value.code == (1 if has_left else 0)
    assert err.closed == has_left
    assert has_left or '"status": "solved"' in out.getvalue()
