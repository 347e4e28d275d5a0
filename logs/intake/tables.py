"""The sheets of a spreadsheet's file (xlsx, ods, xls) as CSV texts.

The reader runs in a process of its own whose memory and time are bounded (`workbook_child`): a
file of some kilobytes can ask for more of both than a machine has, and none of that may reach the
site. Of a formula its last value is read; of merged cells the first holds what they show.

JSON of any shape as tables: each list of like things in it, however deep, becomes one.

A table is named by the path to its list, a column by the path to what it holds within an item.
A list inside an item becomes one cell with spaces between its values; a list of things in an item,
such as turns with their times, becomes a cell for each of their keys or places. Parallel lists are
turned into items. Only tables with turns in them are kept; what their columns hold is told later,
by their cells, as in any table.
"""

import io
import json
import subprocess
import sys
import zipfile
from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from pathlib import Path
from typing import Any, NoReturn

from logs.intake.cells import is_turns
from logs.intake.formats import format_table
from logs.intake.rows import MAX_ROWS, refuse

MAX_UNPACKED_BYTES = 200 * 1024 * 1024
MAX_PARTS = 2_000
"""Files in the archive that a workbook is."""
MAX_SECONDS = 30
_CHILD = Path(__file__).with_name("workbook_child.py")
_OLE_MAGIC = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # [MS-CFB] 2.2: the header's signature
_ZIP_MAGIC = b"PK\x03\x04"  # APPNOTE 4.3.7: a local file header
_ODS_TYPE = b"application/vnd.oasis.opendocument.spreadsheet"  # OpenDocument 1.3, part 2, 3.3
_XLSX_PART = "xl/workbook.xml"  # ECMA-376 part 1, 12.2: the usual name of the workbook's part


def is_workbook(content: bytes) -> bool:
    """Whether ``content`` is a spreadsheet's file, told by what stands in it."""
    if content.startswith(_OLE_MAGIC):
        return True
    if not content.startswith(_ZIP_MAGIC):
        return False
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            names = archive.namelist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OverflowError):
        return False
    return _XLSX_PART in names or ("content.xml" in names and _ODS_TYPE in content[:200])


def workbook_suffix(content: bytes) -> str:
    """How the name of such a workbook's file ends."""
    if content.startswith(_OLE_MAGIC):
        return "xls"
    return "ods" if _ODS_TYPE in content[:200] else "xlsx"


def read_workbook(content: bytes) -> dict[str, str]:
    """The sheets of a workbook as CSV, in their order; a row of a sheet is a line of its text.

    Raises:
        UploadRejectedError: It unpacks to too much, is damaged or locked, or has too many rows.
    """
    if content.startswith(_ZIP_MAGIC):
        _refuse_bombs(content)
    try:
        child = subprocess.run(  # noqa: S603 - our own file, nothing of the member's in it
            [sys.executable, "-I", str(_CHILD), str(MAX_ROWS)],
            input=content,
            capture_output=True,
            timeout=MAX_SECONDS,
            check=False,
            env={},
        )
    except subprocess.TimeoutExpired:
        refuse("workbook_too_large", f"The spreadsheet takes too long to read. {_AS_CSV}")
    if child.returncode != 0:
        refuse("workbook_too_large", f"The spreadsheet needs too much memory to read. {_AS_CSV}")
    sheets: dict[str, list[list[str]]] = {}
    rows: list[list[str]] = []
    for line in child.stdout.splitlines():
        value = json.loads(line)
        if isinstance(value, list):
            rows.append(value)
        elif "sheet" in value:
            rows = sheets[value["sheet"]] = []
        else:
            refuse(value["code"], value["message"])
    return {name: format_table(rows) for name, rows in sheets.items()}


_AS_CSV = "Delete what stands far off the table, or save the sheet as CSV and send that."


def _refuse_bombs(content: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        parts = archive.infolist()
    n_bytes = sum(part.file_size for part in parts)
    if n_bytes > MAX_UNPACKED_BYTES or len(parts) > MAX_PARTS:
        refuse(
            "workbook_too_large",
            f"The spreadsheet unpacks to {n_bytes // 2**20:,} MB in {len(parts):,} parts; at most"
            f" {MAX_UNPACKED_BYTES // 2**20} MB in {MAX_PARTS:,} are read. Save the sheet as CSV.",
        )


MAX_CONTAINERS = 600_000
"""Lists and objects of a document."""
MAX_DEPTH = 30
"""Levels below which nothing is looked for."""
MAX_KEYS = 61
"""Columns of a table: one more than can be mapped."""
MAX_PART = 14
"""Characters of a turn or a number in a list."""
WHOLE = "the whole file"
"""The name of a table that is the document itself."""
NOT_JSON = "not JSON"
"""The name of the column of lines that are no JSON."""
MAX_BAD_LINE = 200
_SAMPLE_ITEMS = 50
"""Items by which it is told whether a table holds turns."""


def tables_of_json(text: str) -> dict[str, str]:
    """The tables with turns in a JSON document, or on lines of JSON, as CSV under a header.

    Raises:
        UploadRejectedError: It is no JSON, too much of it, or has no turns in it.
    """
    if text.count("[") + text.count("{") > MAX_CONTAINERS:
        message = f"The file holds more than {MAX_CONTAINERS:,} lists and objects. Split it."
        refuse("too_much_json", message)
    document = _parse(text)
    tables = {name: items for name, items in _lists(document).items() if _has_turns(items)}
    if not tables and isinstance(document, dict) and _has_turns([document]):
        tables = {WHOLE: [document]}
    if not tables:
        refuse("no_turns", "No list in the JSON holds scrambles: each solve needs one.")
    return {name: _format_items(items) for name, items in tables.items()}


def _parse(text: str) -> object:
    """The document, or a list of what stands on its lines."""
    try:
        return _load(text)
    except ValueError as error:
        lines = [line for line in text.splitlines() if line.strip()]
        if len(lines) < 2:
            _refuse_json(error)
        return _parse_lines(lines, error)


def _load(text: str) -> object:
    try:
        return json.loads(text, parse_float=_plain_number, parse_int=str, parse_constant=str)
    except RecursionError:
        refuse("json_too_deep", "The JSON is nested too deep to be read.")


def _plain_number(text: str) -> str:
    """A number as digits, without the noise of a float."""
    return format(float(text), ".9f").rstrip("0").rstrip(".")


def _parse_lines(lines: Sequence[str], error: ValueError) -> list[object]:
    """A value for each line; one that is no JSON stays as text, and becomes a problem."""
    values: list[object] = []
    n_bad = 0
    for line in lines:
        try:
            values.append(_load(line))
        except ValueError:
            n_bad += 1
            values.append({NOT_JSON: line[:MAX_BAD_LINE]})
    if n_bad > len(lines) / 2:
        _refuse_json(error)
    return values


def _refuse_json(error: ValueError) -> NoReturn:
    refuse("bad_json", f"The file is no JSON: {error}. Mend that place, or export it anew.")


def _lists(document: object) -> dict[str, list[Any]]:
    """The lists of things in a document by their path; lists at like places are joined."""
    lists: dict[str, list[Any]] = {}
    waiting: deque[tuple[str, object, int]] = deque([("", document, 0)])
    while waiting:
        path, value, depth = waiting.popleft()
        if depth > MAX_DEPTH or not isinstance(value, list | dict):
            continue
        items = _items(value)
        if items:
            lists.setdefault(path or WHOLE, []).extend(items)
        inner = value.items() if isinstance(value, dict) and not items else ()
        waiting += [(_joined(path, key), child, depth + 1) for key, child in inner]
        waiting += [
            (_joined(path, key), child, depth + 1)
            for item in items
            if isinstance(item, dict)
            for key, child in item.items()
            if isinstance(child, list | dict)
        ]
    return lists


def _items(value: list[Any] | dict[str, Any]) -> list[Any]:
    """The things that a list, an object of objects or parallel lists are made of."""
    children = value if isinstance(value, list) else list(value.values())
    if children and all(isinstance(child, dict) for child in children):
        return children if isinstance(value, list) or len(children) > 1 else []
    if isinstance(value, list):
        return children if children and all(isinstance(child, list) for child in children) else []
    columns = {key: child for key, child in value.items() if isinstance(child, list)}
    lengths = {len(child) for child in columns.values()}
    if len(columns) < 2 or len(lengths) > 1:
        return []
    rows = zip(*columns.values(), strict=True)
    return [dict(zip(columns, row, strict=True)) for row in rows]


def _has_turns(items: Sequence[Any]) -> bool:
    return any(
        is_turns(cell) for item in items[:_SAMPLE_ITEMS] for cell in _cells_of(item).values()
    )


def _format_items(items: Sequence[Any]) -> str:
    """A line of names, and one for each item."""
    names: dict[str, None] = {}
    rows = []
    for item in items:
        cells = _cells_of(item)
        rows.append(cells)
        if len(names) < MAX_KEYS:
            names.update(dict.fromkeys(cells))
    return format_table(([*names], *([row.get(name, "") for name in names] for row in rows)))


def _cells_of(item: object) -> dict[str, str]:
    """What an item holds as texts, by the path within it."""
    return dict(islice(_cells("", item, 0), MAX_KEYS))


def _cells(path: str, value: object, depth: int) -> Iterator[tuple[str, str]]:
    if depth > MAX_DEPTH:
        return
    if isinstance(value, list) and (depth or not value):
        yield from _list_cells(path, value)
    elif isinstance(value, list):  # a row whose places are its columns
        for at, child in enumerate(value, start=1):
            yield from _cells(_joined(path, str(at)), child, depth + 1)
    elif isinstance(value, dict):
        for key, child in value.items():
            yield from _cells(_joined(path, key), child, depth + 1)
    elif value is not None:
        yield path, _text(value)


def _list_cells(path: str, values: Sequence[object]) -> Iterator[tuple[str, str]]:
    """A list in an item: one cell of its values, or one for each key or place of its things."""
    if not any(isinstance(value, list | dict) for value in values):
        texts = [_text(value) for value in values]
        if texts and max(map(len, texts)) <= MAX_PART:
            yield path, " ".join(texts)
        return
    things = [_by_place(value) for value in values if isinstance(value, list | dict)]
    for key in dict.fromkeys(key for thing in things[:_SAMPLE_ITEMS] for key in thing):
        parts = [thing.get(key) for thing in things]
        if not any(isinstance(part, list | dict) for part in parts):
            texts = [_text(part) for part in parts if part is not None]
            if texts and max(map(len, texts)) <= MAX_PART:
                yield _joined(path, key), " ".join(texts)


def _by_place(value: list[object] | dict[str, object]) -> Mapping[str, object]:
    if isinstance(value, dict):
        return value
    return {str(at): child for at, child in enumerate(value[:MAX_KEYS], start=1)}


def _text(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return "" if value is None else str(value).replace("\x00", "").strip()


def _joined(path: str, key: str) -> str:
    return f"{path}.{key}" if path else key
