"""The sheets of a spreadsheet's file (xlsx, ods, xls) as CSV texts.

The reader runs in a process of its own whose memory and time are bounded (`workbook_child`): a
file of some kilobytes can ask for more of both than a machine has, and none of that may reach the
site. Of a formula its last value is read; of merged cells the first holds what they show.
"""

import io
import json
import subprocess
import sys
import zipfile
from pathlib import Path

from logs.intake.csv_log import format_table
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
