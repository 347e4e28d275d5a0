"""The engine's turns as permutations, held against GAP, a system for computational group theory.

GAP is Debian's package gap-core. Where it is missing these tests are skipped, but not in CI.
"""

import os
import shutil
import subprocess
from functools import cache

import pytest

from cubecore.cases import CASES
from cubecore.cube import SOLVED, after_turns
from cubecore.notation import parse_script
from cubecore.turns import Face

GAP = shutil.which("gap", path="/usr/bin")

pytestmark = pytest.mark.skipif(
    GAP is None and not os.environ.get("CI"), reason="needs Debian's gap-core"
)


def permutation_list(text: str) -> str:
    """What ``text`` does to the engine's stickers, as GAP reads a permutation; GAP counts from 1."""
    places = after_turns(SOLVED, parse_script(text).turns)
    return f"PermList([{','.join(str(place + 1) for place in places)}])"


def group(texts) -> str:
    return f"Group({', '.join(permutation_list(text) for text in texts)})"


@cache
def ask(expression: str) -> str:
    """What GAP prints for ``expression``."""
    assert GAP is not None, "CI has gap-core"
    done = subprocess.run(
        [GAP, "-q", "-A", "-b", "-T", "-x", "4096"],
        input=f'Print({expression}, "\\n");\nQUIT;\n',
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    assert "rror" not in done.stdout + done.stderr, done.stdout + done.stderr
    return "".join(done.stdout.split())


def test_the_turns_generate_as_many_positions_as_published():
    # Published: 43 252 003 274 489 856 000.
    assert ask(f"Size({group(face.name for face in Face)})") == "43252003274489856000"


@pytest.mark.parametrize(
    ("text", "order"),
    [("R U", 105), ("R U'", 63), ("R U R' U'", 6), ("R U2 D' B D'", 1260)],
)
def test_orders_of_elements_are_as_published(text, order):
    assert ask(f"Order({permutation_list(text)})") == str(order)


def test_the_algorithms_of_the_tables_generate_62208_last_layers():
    texts = ["U", *(text for case in CASES.values() for text in case.algorithms)]

    assert ask(f"Size({group(texts)})") == "62208"


def test_last_layers_up_to_auf_and_hold_are_3916():
    # Double cosets of the AUF: turns of the layer before (another hold) and after.
    texts = ["U", *(text for case in CASES.values() for text in case.algorithms)]
    cosets = f"DoubleCosetRepsAndSizes({group(texts)}, {group(['U'])}, {group(['U'])})"

    assert ask(f"Length({cosets})") == "3916"


def test_the_permutation_classes_are_22():
    texts = [
        "U",
        *(t for case in CASES.values() if case.id.stage == "pll" for t in case.algorithms),
    ]
    cosets = f"DoubleCosetRepsAndSizes({group(texts)}, {group(['U'])}, {group(['U'])})"

    assert ask(f"Size({group(texts)})") == "288"
    assert ask(f"Length({cosets})") == "22"
