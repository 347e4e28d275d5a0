"""The demo's files: logs as members would send them, and the truth beside each."""

import csv
import io
import json
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

from logs.demo.members import Club, Member
from logs.demo.rows import LogRow, member_rows

COLUMNS = ("done_at", "scramble", "time", "penalty", "solution", "turn_ms", "note")
_OVERLAP = 3


class DemoFile(NamedTuple):
    """A file to be written: its path below fixtures/demo, and its text."""

    path: str
    text: str


def _compact(values: dict[str, Any]) -> str:
    return json.dumps(values, separators=(",", ":"), ensure_ascii=False)


def _csv_line(cells: Iterable[str]) -> str:
    line = io.StringIO()
    csv.writer(line).writerow(cells)
    return line.getvalue()


def _csv_cell(values: dict[str, Any], column: str) -> str:
    value = values.get(column, "")
    return " ".join(map(str, value)) if isinstance(value, list) else str(value)


def _record(member: Member, row: LogRow) -> str:
    """The row as the member's log has it, with its line end."""
    if member.format == "csv":
        return _csv_line(_csv_cell(row.values, column) for column in COLUMNS)
    return _compact({key: value for key, value in row.values.items() if value != ""}) + "\n"


def log_files(member: Member, rows: list[LogRow]) -> Iterator[DemoFile]:
    """The log or logs of ``member``, each with its truth."""
    stem = member.nickname.lower()
    if not member.two_files:
        yield from _log_file(member, stem, rows, n_doubled=0)
        return
    half = len(rows) // 2
    yield from _log_file(member, f"{stem}-1", rows[:half], n_doubled=0)
    yield from _log_file(member, f"{stem}-2", rows[half - _OVERLAP :], n_doubled=_OVERLAP)


def _log_file(
    member: Member, stem: str, rows: list[LogRow], *, n_doubled: int
) -> Iterator[DemoFile]:
    text = _csv_line(COLUMNS) if member.format == "csv" else ""
    truths = []
    line = 1 + text.count("\n")
    for number, row in enumerate(rows, start=1):
        record = _record(member, row)
        place: dict[str, Any] = {"row": number, "line": line}
        if number <= n_doubled:
            place["doubled"] = True
        truths.append(_compact(place | row.truth) + "\n")
        text += record
        line += record.count("\n")
    yield DemoFile(f"logs/{stem}.{member.format}", text)
    yield DemoFile(f"truth/{stem}.jsonl", "".join(truths))


def demo_files(club: Club) -> Iterator[DemoFile]:
    """Every file of the demo but the club's description."""
    for member in club.members:
        yield from log_files(member, list(member_rows(club, member)))


def write_demo(club: Club, folder: Path) -> list[Path]:
    """Write the demo's logs and truth into ``folder``, in place of what was there.

    Returns:
        The files written.
    """
    for part in ("logs", "truth"):
        (folder / part).mkdir(parents=True, exist_ok=True)
        for old in (*(folder / part).glob("*.csv"), *(folder / part).glob("*.jsonl")):
            old.unlink()
    written = []
    for file in demo_files(club):
        path = folder / file.path
        path.write_text(file.text, encoding="utf-8", newline="")
        written.append(path)
    return written
