"""A file as it was sent: its bytes, and what they are, told once at the door and handed on."""

import io
from collections.abc import Callable
from enum import StrEnum
from functools import cached_property
from hashlib import sha256

from logs.errors import UploadRejectedError
from logs.intake.rows import MAX_BYTES, MAX_LINES, ParsedUpload, refuse
from logs.intake.tables import is_workbook, read_workbook, tables_of_json, workbook_suffix

# How files of other kinds begin (their formats' own published magic numbers).
_MAGIC = (
    (b"PK\x03\x04", "a ZIP archive that is no spreadsheet"),
    (b"PK\x05\x06", "an empty ZIP archive"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"BZh", "a bzip2 archive"),
    (b"\xfd7zXZ\x00", "an xz archive"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (b"\x28\xb5\x2f\xfd", "a Zstandard archive"),
    (b"SQLite format 3\x00", "an SQLite database"),
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
)
_WIDE_MARKS = (b"\xff\xfe", b"\xfe\xff", b"\x00\x00\xfe\xff")
_BOMS = ((b"\xef\xbb\xbf", "utf-8"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_BOM = "\ufeff"


class Kind(StrEnum):
    """What the bytes of a file are."""

    LINES = "lines"
    """Text: CSV, or a table of another shape."""
    JSON = "json"
    """One JSON document, or an object on each line."""
    WORKBOOK = "workbook"
    """A spreadsheet's file: its sheets are tables."""
    OTHER = "other"
    """Nothing that is read: another kind of file, too large, or empty."""

    @property
    def has_tables(self) -> bool:
        """Whether there may be several tables in it, none of them lines of text."""
        return self in (Kind.JSON, Kind.WORKBOOK)


class SourceFile:
    """A file's bytes, with what has been read of them so far.

    Attributes:
        content: The bytes.
    """

    def __init__(self, content: bytes) -> None:
        self.content = content
        self._texts: dict[str, str] = {}
        self._readings: dict[object, ParsedUpload] = {}

    @cached_property
    def digest(self) -> str:
        """The SHA-256 of the bytes, in hexadecimal."""
        return sha256(self.content).hexdigest()

    @cached_property
    def kind(self) -> Kind:
        """What the bytes are, told by what stands in them."""
        if len(self.content) <= MAX_BYTES and is_workbook(self.content):
            return Kind.WORKBOOK
        try:
            text = self.text_in(self.encoding[0])
        except UploadRejectedError:
            return Kind.OTHER
        first = text.lstrip()[:1]
        if first in ("{", "["):
            return Kind.JSON
        return Kind.LINES if first else Kind.OTHER

    @cached_property
    def encoding(self) -> tuple[str, str]:
        """The likely encoding of a text, a key of `logs.intake.mapping.ENCODINGS`, and why.

        Bytes that are no UTF-8 are most often Western European; the member sees the text and can
        choose another.
        """
        for mark, encoding in _BOMS:
            if self.content.startswith(mark):
                return encoding, "The file begins with the mark of this encoding."
        if self.content.isascii():
            return "utf-8", "All its letters are plain ones, which most encodings share."
        for encoding in ("utf-8", "cp1252"):
            try:
                self._texts[encoding] = self._decoded(encoding)
            except UnicodeDecodeError:
                continue
            if encoding == "utf-8":
                return encoding, "Every byte of the file fits it."
            return encoding, "It is not UTF-8. Look whether letters with accents are right."
        return "latin-1", "It is not UTF-8. Look whether letters with accents are right."

    @cached_property
    def text(self) -> str:
        """The text of a file in our own formats: UTF-8, a byte order mark taken off.

        Raises:
            UploadRejectedError: It is too large, an archive, another encoding, or no text.
        """
        self._refuse_other_kinds()
        self._refuse_wide_and_nul()
        if "utf-8" not in self._texts:
            try:
                self._texts["utf-8"] = self._decoded("utf-8")
            except UnicodeDecodeError as error:
                refuse("not_utf8", f"{self._place(error)} is not UTF-8. Save the file as UTF-8.")
        return self._texts["utf-8"]

    def text_in(self, encoding: str) -> str:
        """The text in one of `logs.intake.mapping.ENCODINGS`, its order mark taken off.

        Raises:
            UploadRejectedError: It is too large, an archive, not in that encoding, or no text.
        """
        self._refuse_other_kinds()
        if encoding not in self._texts:
            try:
                self._texts[encoding] = self._decoded(encoding)
            except UnicodeDecodeError as error:
                refuse(
                    "not_in_encoding",
                    f"{self._place(error)} does not stand for a character in {encoding}."
                    " Choose another encoding.",
                )
        text = self._texts[encoding]
        at = text.find("\x00")
        if at >= 0:
            line = text.count("\n", 0, at) + 1
            refuse("nul_byte", f"Line {line}: there is a NUL byte; the file is damaged or no text.")
        return text

    @property
    def suffix(self) -> str:
        """How the name of such a file ends."""
        if self.kind is Kind.WORKBOOK:
            return workbook_suffix(self.content)
        return "json" if self.kind is Kind.JSON else "csv"

    @cached_property
    def tables(self) -> dict[str, str]:
        """The tables of a workbook or of JSON as CSV texts, by the name of sheet or list.

        Raises:
            UploadRejectedError: It cannot be read so.
        """
        if self.kind is Kind.WORKBOOK:
            return read_workbook(self.content)
        return tables_of_json(self.text) if self.kind is Kind.JSON else {}

    def reading(self, key: object, read: Callable[[], ParsedUpload]) -> ParsedUpload:
        """What ``read`` gives, which is read once for each ``key``."""
        if key not in self._readings:
            self._readings[key] = read()
        return self._readings[key]

    def _decoded(self, encoding: str) -> str:
        return self.content.decode(encoding).removeprefix(_BOM)

    def _place(self, error: UnicodeDecodeError) -> str:
        line = self.content.count(b"\n", 0, error.start) + 1
        return f"Line {line}: byte {self.content[error.start : error.start + 1].hex()}"

    def _refuse_other_kinds(self) -> None:
        if len(self.content) > MAX_BYTES:
            refuse(
                "file_too_large",
                f"The file has {len(self.content):,} bytes; at most {MAX_BYTES:,} are read."
                " Split it.",
            )
        for magic, kind in _MAGIC:
            if self.content.startswith(magic):
                message = f"The file is {kind}. Send the log itself: CSV, a spreadsheet or JSON."
                refuse("not_text", message)

    def _refuse_wide_and_nul(self) -> None:
        content = self.content
        if content.startswith(_WIDE_MARKS) or content[:200].count(0) > len(content[:200]) // 4:
            refuse("not_utf8", "The file looks like UTF-16 or UTF-32. Save it as UTF-8.")
        at = content.find(0)
        if at >= 0:
            line = content.count(b"\n", 0, at) + 1
            refuse("nul_byte", f"Line {line}: there is a NUL byte; the file is damaged or no text.")


def split_lines(text: str) -> list[str]:
    """The lines with their ends; CR, LF and CRLF end one, and nothing else does.

    Raises:
        UploadRejectedError: There are too many.
    """
    if text.count("\n") + text.count("\r") > 2 * MAX_LINES:
        refuse("too_many_lines", f"The file has more than {MAX_LINES:,} lines. Split it.")
    return list(io.StringIO(text, newline=""))
