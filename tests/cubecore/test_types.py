"""Values of different kinds are not taken for one another: mypy, the judge, refuses each swap."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
RIGHT = """\
from cubecore.algorithms import count_turns, normal_form, prove_algorithm
from cubecore.book import Book
from cubecore.cases import (
    CASES,
    CaseId,
    LastLayerKey,
    Pattern,
    case_at_angle,
    homeward,
    label,
    label_key,
    last_layer_key,
)
from cubecore.compact import CompactRow, MarkedTurns, PackedNumbers, unpack_numbers
from cubecore.cube import SOLVED, TURN_TABLES, Cube, Places, after_turns, walk
from cubecore.drills import draw_last_layer
from cubecore.holds import side_views, top_shape
from cubecore.notation import format_turns, parse_script
from cubecore.pictures import colour_letters
from cubecore.rows import Penalty, Row
from cubecore.turns import HOME_HOLD, Face, Hold, Turn, Turns, face_of, inverse, make_turn, mirror, renamed


def swaps(
    turns: Turns, places: Places, key: LastLayerKey, pattern: Pattern, case: CaseId, book: Book
) -> None:
    after_turns(places, turns)
    label_key(key)
    book.algorithms(case)
"""
SWAPS = [
    "after_turns(turns, SOLVED)",
    "after_turns(places, places)",
    "after_turns(key, turns)",
    'after_turns(SOLVED, b"\x00")',
    "walk(turns, turns)",
    "mirror(SOLVED)",
    "mirror(key)",
    "inverse(places)",
    'inverse("R U")',
    "renamed(places, HOME_HOLD.turn_table)",
    "renamed(turns, turns)",
    "label_key(turns)",
    "label_key(places)",
    "label_key(pattern)",
    "label(turns)",
    "label(key)",
    "label(places, HOME_HOLD)",
    "label(places, 0)",
    "last_layer_key(key, Face.U)",
    "side_views(places)",
    "side_views(pattern)",
    "top_shape(turns)",
    "homeward(pattern)",
    "count_turns(places)",
    "normal_form(key)",
    "format_turns(places)",
    'format_turns("R U R\'")',
    'parse_script("R U", 0)',
    'parse_script("R U", Face.U)',
    "colour_letters(places, Face.U)",
    "colour_letters(key, HOME_HOLD)",
    "colour_letters(places, 0)",
    "face_of(0)",
    "face_of(Face.U)",
    "make_turn(Turn(0), 1)",
    "make_turn(0, 1)",
    "Cube(turns)",
    "Cube(key)",
    "Cube().after(places)",
    "Cube().seen_from(0)",
    "book.find(places)",
    'book.find("R U R\'")',
    'book.algorithms("OLL 27")',
    "book.algorithms(27)",
    'book.algorithms(("oll", 27))',
    "prove_algorithm(\"R U R' U'\", 27)",
    'prove_algorithm("R U R\' U\'", "OLL 27")',
    "prove_algorithm(case, case)",
    "case_at_angle(case, 0)",
    'CASES["OLL 27"]',
    "CASES[27]",
    'CaseId("oll", 27)',
    "CaseId.parse(case)",
    "draw_last_layer(case, 0)",
    "Hold(Face.U)",
    "CompactRow(turns, turns, None, Penalty.NONE)",
    'CompactRow(MarkedTurns(b""), None, None, Penalty.NONE)',
    'CompactRow(turns, None, b"", Penalty.NONE)',
    "unpack_numbers(turns)",
    "PackedNumbers([1, 2])",
    "Places(TURN_TABLES)",
]


@pytest.fixture(scope="module")
def wrong_lines(tmp_path_factory: pytest.TempPathFactory) -> set[int]:
    """The numbers of the lines that mypy refuses, by its strict rules and no settings of ours."""
    folder = tmp_path_factory.mktemp("mypy")
    nonsense = folder / "nonsense.py"
    nonsense.write_text(RIGHT + "".join(f"    {swap}\n" for swap in SWAPS), encoding="utf-8")
    done = subprocess.run(
        [
            *(sys.executable, "-m", "mypy", "--strict", "--config-file", ""),
            *("--no-error-summary", "--hide-error-context", "--show-absolute-path"),
            *("--cache-dir", str(folder / "cache"), str(nonsense)),
        ],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    errors = [line.split(":", 2) for line in done.stdout.splitlines() if " error: " in line]
    assert done.stderr == ""
    assert {path for path, *_ in errors} == {str(nonsense)}, done.stdout
    return {int(number) for _, number, _ in errors}


def test_what_is_right_passes(wrong_lines):
    assert min(wrong_lines) > RIGHT.count("\n")


@pytest.mark.parametrize("swap", SWAPS)
def test_a_line_that_swaps_two_kinds_of_values_is_an_error_for_mypy(wrong_lines, swap):
    assert RIGHT.count("\n") + SWAPS.index(swap) + 1 in wrong_lines
