"""A file is hashed, decoded and parsed once on its way from the door to the log.

Counted are calls by the interpreter's own profile hook, so that nothing of ours is replaced.
"""

import sys
from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime
from types import BuiltinFunctionType, FrameType
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from logs.errors import UploadRejectedError
from logs.intake.reading import needs_mapping, read_upload
from logs.intake.rows import Clock
from logs.intake.source import Kind, SourceFile
from logs.solves.services.drafts import must_wait
from logs.solves.services.uploads import upload_import
from tests.factories import make_user

NOW = datetime(2026, 3, 10, 12, tzinfo=UTC)
ZONE = ZoneInfo("Europe/Oslo")
CONTENT = b"scramble,time,note\nR U F' D2,12.34,caf\xc3\xa9\n"


def calls_of(action: Callable[[], object], content: bytes) -> Counter[str]:
    """How often ``action`` hashes, decodes ``content`` and reads a row."""
    calls: Counter[str] = Counter()

    def count(frame: FrameType, event: str, argument: Any) -> None:
        if event == "call" and frame.f_code.co_name in ("read_record", "read_object"):
            calls["rows"] += 1
        elif event == "c_call" and isinstance(argument, BuiltinFunctionType):
            name = argument.__name__
            is_content = getattr(argument, "__self__", None) == content
            calls["hashed"] += name == "openssl_sha256"
            calls["decoded"] += name == "decode" and is_content

    sys.setprofile(count)
    try:
        action()
    finally:
        sys.setprofile(None)
    return calls


def test_a_file_of_one_row_is_hashed_decoded_and_parsed_once():
    source, clock = SourceFile(CONTENT), Clock(UTC, NOW)

    def read() -> None:
        assert source.digest
        assert not needs_mapping(source, clock)
        assert read_upload(source, clock).n_rows == 1

    assert calls_of(read, CONTENT) == {"hashed": 1, "decoded": 1, "rows": 1}


@pytest.mark.django_db
def test_so_it_is_from_the_door_to_the_log():
    member, source = make_user(), SourceFile(CONTENT)

    def take() -> None:
        assert not must_wait(actor=member, source=source, time_zone=ZONE, now=NOW)
        upload_import(member=member, source=source, file_name="x", time_zone=ZONE, now=NOW)

    calls = calls_of(take, CONTENT)
    assert (calls["decoded"], calls["rows"]) == (1, 1)


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (b"scramble,time\n", Kind.LINES),
        ("Zeit;Mischung\n7,2;Größe".encode("cp1252"), Kind.LINES),
        (b' \n{"a": 1}', Kind.JSON),
        (b"[]", Kind.JSON),
        (b"", Kind.OTHER),
        (b" \n", Kind.OTHER),
        (b"\x1f\x8b\x08", Kind.OTHER),
        (b"PK\x03\x04 and no archive", Kind.OTHER),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", Kind.WORKBOOK),  # [MS-CFB] 2.2
        (b"a\x00b", Kind.OTHER),
    ],
)
def test_what_a_file_is_is_told_by_its_bytes(content, kind):
    assert SourceFile(content).kind is kind


def test_a_text_in_a_wrong_encoding_is_refused_with_its_place_each_time():
    source = SourceFile(b"ab\nc\xff")
    for _ in range(2):
        with pytest.raises(UploadRejectedError, match=r"Line 2: byte ff is not UTF-8"):
            _ = source.text
