"""A value of more than four fields is built by keyword, so that no two of them change places."""

import ast
from dataclasses import fields, is_dataclass
from importlib import import_module
from pathlib import Path

ROOT = Path(__file__).parents[2]
MODULES = [path for path in sorted((ROOT / "cubecore").glob("*.py")) if path.stem != "__main__"]


def classes() -> dict[str, type]:
    """Every class of the engine."""
    modules = [import_module(f"cubecore.{path.stem}") for path in MODULES]
    return {
        name: value
        for module in modules
        for name, value in vars(module).items()
        if isinstance(value, type) and value.__module__ == module.__name__
    }


def positional_calls(names: set[str]) -> list[str]:
    """Where one of ``names``, or its ``__new__`` as ``_new_...``, is called with values by place."""
    calls = []
    for folder in ("cubecore", "logs", "tests"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            nodes = [*ast.walk(ast.parse(path.read_text(encoding="utf-8")))]
            here = (
                names & (_defined(nodes) if folder == "cubecore" else set())
                | _imported(nodes) & names
            )
            calls += [
                f"{path.relative_to(ROOT)}:{node.lineno}"
                for node in nodes
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
                if (node.args and node.func.id in here)
                or (
                    (len(node.args) > 1 and isinstance(node.args[0], ast.Name))
                    and node.args[0].id in here
                    and node.func.id.startswith("_new_")
                )
            ]
    return calls


def _imported(nodes: list[ast.AST]) -> set[str]:
    """The names that are imported from the engine."""
    return {
        alias.name
        for node in nodes
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("cubecore")
        for alias in node.names
    }


def _defined(nodes: list[ast.AST]) -> set[str]:
    return {node.name for node in nodes if isinstance(node, ast.ClassDef)}


def test_dataclasses_of_more_than_four_fields_take_keywords_alone():
    large = [c for c in classes().values() if is_dataclass(c) and len(fields(c)) > 4]

    assert len(large) >= 4
    assert [c.__name__ for c in large if not all(field.kw_only for field in fields(c))] == []


def test_tuples_of_more_than_four_fields_are_built_by_keyword_everywhere():
    large = {name for name, c in classes().items() if len(getattr(c, "_fields", ())) > 4}

    assert large >= {"Replay", "Look", "LastLayerStage", "Milestones", "Row"}
    assert positional_calls(large) == []
