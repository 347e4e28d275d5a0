"""The demo's logs and their truth, read as plain files."""

import csv
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

FOLDER = Path(__file__).parents[2] / "fixtures" / "demo"
LOGS = sorted((FOLDER / "logs").iterdir())


class DemoRow(NamedTuple):
    name: str
    values: dict[str, object]
    truth: dict[str, Any]


def read_log(path: Path) -> Iterator[tuple[int, dict[str, object]]]:
    """Each row of a log with the number of its first line."""
    if path.suffix == ".jsonl":
        for line, text in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
            yield line, json.loads(text)
        return
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file, strict=True)
        before = 1
        for row in reader:
            yield before + 1, dict(row)
            before = reader.line_num


def demo_rows(path: Path) -> Iterator[DemoRow]:
    truths = (FOLDER / "truth" / f"{path.stem}.jsonl").read_text(encoding="utf-8").splitlines()
    for (line, values), text in zip(read_log(path), truths, strict=True):
        truth = json.loads(text)
        assert truth["line"] == line
        yield DemoRow(f"{path.name}:{line}", values, truth)
