"""Golden vectors: fixtures/engine/*.vec, each with the source of its answer.

A vector is a block of ``key: value`` lines parted by blank lines: ``id``, optionally ``start``
(turns before, or the scramble), ``moves`` (the text asked about), ``expect`` (answers, as
``name=value`` parted by ``;``), and a ``#`` line that says where the answer comes from.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from cubecore.algorithms import prove_algorithm
from cubecore.book import default_book
from cubecore.cube import SOLVED, Cube, after_turns
from cubecore.errors import CubeError
from cubecore.jsonlines import replay_json
from cubecore.notation import count_metrics, format_tokens, format_turns, parse_script, parse_tokens
from cubecore.replay import replay_row
from cubecore.rows import parse_row
from cubecore.turns import Face, Turns

FOLDER = Path(__file__).parents[2] / "fixtures" / "engine"


@dataclass(frozen=True)
class Vector:
    """One question and its answer."""

    file: str
    id: str
    source: str
    fields: dict[str, str]
    expected: dict[str, str]


def read_vectors(path: Path) -> list[Vector]:
    vectors = []
    for block in path.read_text(encoding="utf-8").split("\n\n"):
        lines = block.strip().splitlines()
        source = " ".join(line.removeprefix("#").strip() for line in lines if line.startswith("#"))
        fields = dict(line.split(": ", 1) for line in lines if not line.startswith("#"))
        if fields:
            answers = (answer.split("=", 1) for answer in fields.pop("expect").split("; "))
            vectors.append(Vector(path.name, fields.pop("id"), source, fields, dict(answers)))
    return vectors


VECTORS = [vector for path in sorted(FOLDER.glob("*.vec")) for vector in read_vectors(path)]


def notation_answers(fields: dict[str, str]) -> dict[str, object]:
    tokens, script = parse_tokens(fields["moves"]), parse_script(fields["moves"])
    return {
        "spelled": format_tokens(tokens),
        "turns": format_turns(script.turns),
        "n_tokens": script.n_tokens,
        "n_layer_tokens": script.n_layer_tokens,
        **count_metrics(tokens)._asdict(),
    }


def order_of(turns: Turns) -> int:
    places, order = after_turns(SOLVED, turns), 1
    while places != SOLVED:
        places, order = after_turns(places, turns), order + 1
    return order


def position_answers(fields: dict[str, str]) -> dict[str, object]:
    script = parse_script(fields["moves"])
    seen = Cube().after(script.turns).seen_from(script.hold)
    faces = ["".join(colour.name for colour in seen[face]) for face in Face]
    return {"stickers": " ".join(faces), "order": order_of(script.turns)}


def case_answers(fields: dict[str, str]) -> dict[str, object]:
    proved = prove_algorithm(fields["moves"])
    return {"case": proved.case, "angle": proved.angle}


def solve_answers(fields: dict[str, str]) -> dict[str, object]:
    row = {
        "scramble": fields["start"],
        "time": 60,
        "solution": fields.get("moves"),
        "turn_ms": fields.get("times"),
        "penalty": fields.get("penalty"),
    }
    label = replay_json(replay_row(parse_row(row), default_book()))
    answers = {key: "none" if value is None else value for key, value in label.items()}
    for stage in ("oll", "pll"):
        seen = label[stage]
        if seen is not None:
            answers[stage] = seen["case"]
            answers[f"{stage}_ms"] = f"{seen['recognition_ms']}+{seen['execution_ms']}"
    return answers


ANSWERS: dict[str, Callable[[dict[str, str]], dict[str, object]]] = {
    "notation.vec": notation_answers,
    "positions.vec": position_answers,
    "cases.vec": case_answers,
    "solves.vec": solve_answers,
}


def answers_to(vector: Vector) -> dict[str, object]:
    try:
        return ANSWERS[vector.file](vector.fields)
    except CubeError as error:
        return {"error": error.code, "column": error.column, "token": error.token}


@pytest.mark.parametrize("vector", VECTORS, ids=[f"{v.file}:{v.id}" for v in VECTORS])
def test_a_vector_has_its_expected_answer(vector):
    answers = answers_to(vector)
    got = {name: str(answers.get(name)) for name in vector.expected}

    assert got == vector.expected, f"{vector.id}: expected {vector.expected}, got {got}"


def test_every_vector_says_where_its_answer_comes_from():
    assert {path.name for path in FOLDER.glob("*.vec")} == set(ANSWERS)
    assert len({(vector.file, vector.id) for vector in VECTORS}) == len(VECTORS) > 20
    assert [vector.id for vector in VECTORS if not vector.source] == []
