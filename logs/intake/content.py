"""The text of a file's bytes, or what the bytes are instead."""

import io
from typing import NoReturn

from logs.errors import RowProblem, UploadRejectedError
from logs.intake.parsed import MAX_BYTES, MAX_LINES

# How files of other kinds begin (their formats' own published magic numbers).
_MAGIC = (
    (b"PK\x03\x04", "a ZIP archive or an office document (.xlsx, .ods)"),
    (b"PK\x05\x06", "an empty ZIP archive"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"BZh", "a bzip2 archive"),
    (b"\xfd7zXZ\x00", "an xz archive"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (b"\x28\xb5\x2f\xfd", "a Zstandard archive"),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "an office document (.xls)"),
    (b"SQLite format 3\x00", "an SQLite database"),
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
)
_WIDE_MARKS = (b"\xff\xfe", b"\xfe\xff", b"\x00\x00\xfe\xff")
_BOM = "\ufeff"


def refuse(code: str, message: str) -> NoReturn:
    """Refuse the file as a whole.

    Raises:
        UploadRejectedError: Always.
    """
    raise UploadRejectedError([RowProblem(0, code, "", message, "")])


def decode(content: bytes) -> str:
    """The text of ``content``: UTF-8, a byte order mark taken off.

    Raises:
        UploadRejectedError: It is too large, an archive, another encoding, or no text.
    """
    refuse_other_kinds(content)
    _refuse_nul(content)
    try:
        return content.decode("utf-8").removeprefix(_BOM)
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        bad = content[error.start : error.start + 1].hex()
        refuse("not_utf8", f"Line {line}: byte {bad} is not UTF-8. Save the file as UTF-8.")


def decode_as(content: bytes, encoding: str) -> str:
    """The text of ``content`` in one of `logs.intake.mapping.ENCODINGS`, its order mark taken off.

    Raises:
        UploadRejectedError: It is too large, an archive, not in that encoding, or no text.
    """
    refuse_other_kinds(content)
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        bad = content[error.start : error.start + 1].hex()
        refuse(
            "not_in_encoding",
            f"Line {line}: byte {bad} does not stand for a character in {encoding}."
            " Choose another encoding.",
        )
    at = text.find("\x00")
    if at >= 0:
        line = text.count("\n", 0, at) + 1
        refuse("nul_byte", f"Line {line}: there is a NUL byte; the file is damaged or no text.")
    return text.removeprefix(_BOM)


def refuse_other_kinds(content: bytes) -> None:
    """Make sure that a file is neither too large nor of a kind that is no text.

    Raises:
        UploadRejectedError: It is.
    """
    if len(content) > MAX_BYTES:
        refuse(
            "file_too_large",
            f"The file has {len(content):,} bytes; at most {MAX_BYTES:,} are read. Split it.",
        )
    for magic, kind in _MAGIC:
        if content.startswith(magic):
            refuse("not_text", f"The file is {kind}. Send the log itself, as CSV or JSON Lines.")


def split_lines(text: str) -> list[str]:
    """The lines with their ends; CR, LF and CRLF end one, and nothing else does.

    Raises:
        UploadRejectedError: There are too many.
    """
    if text.count("\n") + text.count("\r") > 2 * MAX_LINES:
        refuse("too_many_lines", f"The file has more than {MAX_LINES:,} lines. Split it.")
    return list(io.StringIO(text, newline=""))


def _refuse_nul(content: bytes) -> None:
    if content.startswith(_WIDE_MARKS) or content[:200].count(0) > len(content[:200]) // 4:
        refuse("not_utf8", "The file looks like UTF-16 or UTF-32. Save it as UTF-8.")
    at = content.find(0)
    if at >= 0:
        line = content.count(b"\n", 0, at) + 1
        refuse("nul_byte", f"Line {line}: there is a NUL byte; the file is damaged or no text.")
