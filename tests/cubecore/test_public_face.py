"""The names a newcomer needs, and values that print as they are written."""

import ast
import subprocess
import sys
from pathlib import Path
from random import Random

import pytest

import cubecore
from cubecore import (
    CASES,
    HOLDS,
    SKIP,
    CaseId,
    CubeError,
    Face,
    Penalty,
    Row,
    Stage,
    compact_row,
    cue_of,
    default_book,
    describe,
    label,
    nearest_wrong_hold,
    parse_script,
    parse_tokens,
    replay_row,
    side_views,
    unpack,
)
from cubecore.cube import SOLVED, Cube, after_turns
from cubecore.questions import question_about
from tests.cubecore.some_rows import demo_rows

ROOT = Path(__file__).parents[2]
SCOPE = {name: getattr(cubecore, name) for name in cubecore.__all__}
REPLAYS = [
    Row(scramble="R U R'", time_ms=900, solution="R U' R'"),
    Row(scramble="R U", time_ms=900, penalty=Penalty.PLUS_TWO, solution="U'", turn_ms=(400,)),
    Row(scramble="R U F", time_ms=900, penalty=Penalty.DNF, solution="R M2"),
]


def solves_with_misfires(n: int) -> list[Row]:
    """The demo club's first solves of which a look was a misfire that can be named."""
    rows = (row for row in demo_rows() if has_misfire(row))
    return [next(rows) for _ in range(n)]


def has_misfire(row: Row) -> bool:
    try:
        replay = replay_row(row, default_book())
    except CubeError:
        return False
    looks = replay.oll.looks if replay.oll else ()
    return any(look.done and not look.done.is_right for look in looks)


def values() -> list[object]:
    """One value at least of each kind that the public face gives."""
    oll, pll = CaseId(Stage.OLL, 33), CaseId(Stage.PLL, "Ga")
    book = default_book()
    values: list[object] = [*Face, *HOLDS, *CASES, *CASES.values(), CaseId(Stage.PLL, SKIP)]
    for case in (oll, pll):
        values += [*book.algorithms(case), cue_of(CASES[case]), side_views(CASES[case].key)]
        values += [nearest_wrong_hold(CASES[case]), describe(CASES[case].algorithms[0])]
        values.append(question_about(oll, [oll, pll, CaseId(Stage.OLL, 27)], rng=Random(1)))
    for row in [*REPLAYS, *solves_with_misfires(3)]:
        values += [row, compact_row(row), unpack(compact_row(row)), replay_row(row, book)]
    turns = parse_script("R U x M2").turns
    values += [parse_script("R U x M2"), parse_tokens("(R U)2 x"), turns, Cube().after(turns)]
    values.append(label(after_turns(SOLVED, parse_script("R U R' U' R' F R F'").turns)))
    return values


@pytest.mark.parametrize("value", values(), ids=lambda value: type(value).__name__)
def test_what_a_value_prints_as_makes_it_again(value):
    again = eval(repr(value), {**SCOPE, "__builtins__": {"frozenset": frozenset, "range": range}})

    assert again == value
    assert type(again) is type(value)


def test_the_stub_for_type_checkers_names_the_same_from_the_same_modules():
    stub = ast.parse((ROOT / "cubecore/__init__.pyi").read_text(encoding="utf-8"))
    modules = {
        alias.name: str(node.module)
        for node in stub.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    (names,) = [ast.literal_eval(node.value) for node in stub.body if isinstance(node, ast.Assign)]

    assert sorted(names) == sorted(modules) == cubecore.__all__ == sorted(set(cubecore.__all__))
    for name, module in modules.items():
        assert getattr(sys.modules[module], name) is getattr(cubecore, name)


def test_no_name_of_the_face_hides_a_module():
    modules = {path.stem for path in (ROOT / "cubecore").glob("*.py")}

    assert modules.isdisjoint(cubecore.__all__)


def test_what_is_no_name_of_the_face_is_refused():
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        getattr(cubecore, "nothing")  # noqa: B009 - mypy refuses the plain form, as it should
    assert dir(cubecore) == cubecore.__all__


def test_the_package_alone_imports_no_module_of_its_own():
    # -I -S: neither the environment nor installed packages.
    code = "import sys; sys.path.insert(0, sys.argv[1]); import cubecore; print(*sys.modules)"
    asked = code.replace("; print", "; cubecore.replay_row; print")
    loaded = [
        subprocess.run(
            [sys.executable, "-I", "-S", "-c", text, str(ROOT)],
            capture_output=True,
            text=True,
            timeout=60,
            check=True,
        ).stdout.split()
        for text in (code, asked)
    ]
    before, after = ({n for n in names if n.startswith("cubecore")} for names in loaded)

    assert before == {"cubecore"}
    assert "cubecore.replay" in after
    assert not {"numpy", "django", "pandas"} & set(loaded[1])
