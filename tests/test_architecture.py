"""The engine stands alone; tables are touched by selectors and services alone."""

import ast
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
LABEL = """
import sys
sys.path.insert(0, sys.argv[1])
before = set(sys.modules)
from cubecore.__main__ import main
from cubecore import pictures
code = main(["label"])
loaded = {name.partition(".")[0] for name in set(sys.modules) - before}
print(sorted(loaded - set(sys.stdlib_module_names) - {"cubecore"}))
raise SystemExit(code)
"""


def test_the_engine_labels_a_row_with_the_standard_library_alone(tmp_path):
    # -I: no environment, no working directory on the path; -S: no site-packages.
    done = subprocess.run(
        [sys.executable, "-I", "-S", "-c", LABEL, str(ROOT)],
        input='{"scramble": "R", "time": "1.00", "solution": "R\'"}\n',
        capture_output=True,
        text=True,
        cwd=tmp_path,
        env={"PATH": os.environ["PATH"], "PYTHONDONTWRITEBYTECODE": "1"},
        timeout=60,
        check=True,
    )
    label, loaded = done.stdout.splitlines()

    assert '"status": "solved"' in label
    assert loaded == "[]"


def test_every_module_of_the_engine_is_imported_without_installed_packages(tmp_path):
    modules = sorted(
        f"cubecore.{path.stem}"
        for path in (ROOT / "cubecore").glob("*.py")
        if not path.stem.startswith("batch")
    )
    code = f"import sys; sys.path.insert(0, sys.argv[1]); import {', '.join(modules)}"
    done = subprocess.run(
        [sys.executable, "-I", "-S", "-c", code.replace(", cubecore.__init__", ""), str(ROOT)],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        timeout=60,
        check=False,
    )

    assert len(modules) > 10
    assert done.stderr == ""
    assert done.returncode == 0


WHERE_TABLES_ARE_TOUCHED = {
    *("models", "selectors", "services", "sight", "locks", "authentication"),
    *("management", "migrations"),
}


def test_no_page_report_or_endpoint_touches_a_table():
    """``Model.objects`` stands in selectors and services; a command may read for its operator."""
    touched = [
        f"{path.relative_to(ROOT)}:{node.lineno}"
        for path in (ROOT / "logs").rglob("*.py")
        if not WHERE_TABLES_ARE_TOUCHED
        & {part.removesuffix(".py") for part in path.relative_to(ROOT).parts}
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr in {"objects", "_default_manager"}
    ]
    assert touched == []


def test_nothing_is_imported_for_types_alone():
    """Circles that only a type checker sees are circles too."""
    guarded = [
        str(path.relative_to(ROOT))
        for folder in ("logs", "cubecore", "clubsite")
        for path in (ROOT / folder).rglob("*.py")
        if "TYPE_CHECKING" in path.read_text(encoding="utf-8")
    ]
    assert guarded == []
