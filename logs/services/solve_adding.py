"""One solve, added by a program."""

import json
from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from logs.errors import UploadRejectedError
from logs.intake.reading import read_upload
from logs.models import Upload
from logs.selectors.book import book_of_member
from logs.services.labels import label_rows
from logs.services.uploads import upload_import

if TYPE_CHECKING:
    from clubsite.accounts.models import User

FILE_NAME = "one solve"


def solve_add(
    *, member: "User", values: Mapping[str, object], time_zone: ZoneInfo, now: datetime
) -> Upload:
    """Add one solve: the upload whose one row it is, ``is_repeat`` set where it was sent before.

    Args:
        member: Whose solve it is.
        values: The fields of a line of a JSON Lines log, ready for JSON, in any order.
        time_zone: The club's, for a time without an offset.
        now: When it came.

    Raises:
        UploadRejectedError: It cannot be taken; nothing is stored. The sender still has it.
    """
    content = json.dumps(values, sort_keys=True).encode() + b"\n"
    read = read_upload(content, time_zone)
    if read.refusal is not None:
        raise UploadRejectedError([read.refusal])
    book = book_of_member(member=member)
    problems = read.problems or label_rows(read.rows, book=book).problems
    if problems:
        raise UploadRejectedError(problems)
    return upload_import(
        member=member,
        content=content,
        file_name=FILE_NAME,
        time_zone=time_zone,
        now=now,
        book=book,
    )
