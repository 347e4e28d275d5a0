"""A file into the tables: parse, label, store."""

import hashlib
from collections.abc import Sequence
from datetime import datetime
from pathlib import PurePosixPath, PureWindowsPath
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from django.db import transaction

from cubecore.book import Book
from logs.errors import RowProblem, UploadRejectedError
from logs.intake.parsed import ParsedUpload
from logs.intake.reading import read_upload
from logs.models import SetAsideRow, Sighting, Solve, Upload
from logs.selectors.book import book_of_member
from logs.services.labels import (
    Labelled,
    LabelledRows,
    build_sightings,
    label_rows,
    raw_fields,
    solve_labels,
)
from logs.services.locks import lock_log
from logs.services.tallies import tally_add

if TYPE_CHECKING:
    from clubsite.accounts.models import User

CHUNK = 500
"""Rows written by one statement."""
MAX_FILE_NAME = 200


def upload_import(
    *,
    member: "User",
    content: bytes,
    file_name: str,
    time_zone: ZoneInfo,
    now: datetime,
    book: Book | None = None,
) -> Upload:
    """Take in a log: its rows become solves, or are set aside with the reason.

    A file the member has sent before is answered with its upload as it stands, ``is_repeat`` set.
    A solve the member has already counts as doubled.

    Args:
        member: Whose log it is.
        content: The file's bytes.
        file_name: Its name, kept for show alone.
        time_zone: The club's, for times without an offset.
        now: When it came.
        book: The algorithms to name looks by; the member's book when None.

    Raises:
        UploadRejectedError: No row of it can be read; nothing is stored.
    """
    known = _known_upload(member, content)
    if known is not None:
        return known
    book = book or book_of_member(member=member)
    parsed = read_upload(content, time_zone)
    if parsed.refusal is not None:
        raise UploadRejectedError([parsed.refusal])
    labelled = label_rows(parsed.rows, book=book)
    return upload_store(
        member=member,
        content=content,
        file_name=file_name,
        time_zone=time_zone,
        now=now,
        parsed=parsed,
        labelled=labelled,
        book=book,
    )


@transaction.atomic
def upload_store(
    *,
    member: "User",
    content: bytes,
    file_name: str,
    time_zone: ZoneInfo,
    now: datetime,
    parsed: ParsedUpload,
    labelled: LabelledRows,
    book: Book,
) -> Upload:
    """Store a file that was read and labelled: `upload_import`'s last step, all or nothing."""
    lock_log(member.pk)
    known = _known_upload(member, content)
    if known is not None:
        return known
    assert parsed.format is not None
    problems = sorted((*parsed.problems, *labelled.problems), key=lambda problem: problem.line)
    upload = Upload.objects.create(
        member=member,
        sha256=_digest(content),
        content=content,
        file_name=_plain_name(file_name),
        format=parsed.format.value,
        time_zone=time_zone.key,
        columns=list(parsed.columns),
        unknown_columns=list(parsed.unknown_columns),
        received_at=now,
        n_rows=parsed.n_rows,
        n_taken=0,
        n_doubled=len(labelled.rows),
        n_set_aside=len(problems),
    )
    _store_problems(upload, problems)
    upload.n_taken = store_solves(upload, labelled.rows, book)
    upload.n_doubled -= upload.n_taken
    upload.save(update_fields=["n_taken", "n_doubled"])
    return upload


def store_solves(upload: Upload, rows: Sequence[Labelled], book: Book) -> int:
    """Store those of ``rows`` that the member does not have yet, and count them; how many.

    ``rows`` are in the order of the file, and none of their lines has a solve yet.
    """
    if not rows:
        return 0
    solves = [_solve(upload, labelled, book) for labelled in rows]
    Solve.objects.bulk_create(solves, batch_size=CHUNK, ignore_conflicts=True)
    results = {labelled.read.line: labelled.replay for labelled in rows}
    between = (rows[0].read.line, rows[-1].read.line)
    taken = Solve.objects.filter(upload=upload, line__range=between).only("line", "member_id")
    fresh = [solve for solve in taken if solve.line in results]
    sightings = [s for solve in fresh for s in build_sightings(solve, results[solve.line])]
    Sighting.objects.bulk_create(sightings, batch_size=CHUNK)
    tally_add(member_id=upload.member_id, solve_ids=[solve.pk for solve in fresh])
    return len(fresh)


def _known_upload(member: "User", content: bytes) -> Upload | None:
    known = Upload.objects.filter(member=member, sha256=_digest(content)).defer("content").first()
    if known is not None:
        known.is_repeat = True
    return known


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _plain_name(name: str) -> str:
    """The last part of a path, without what does not print, cut to what is kept."""
    last = PurePosixPath(PureWindowsPath(name).as_posix()).name
    printable = "".join(char for char in last if char.isprintable()).strip()
    return printable[:MAX_FILE_NAME] or "log"


def _store_problems(upload: Upload, problems: Sequence[RowProblem]) -> None:
    SetAsideRow.objects.bulk_create(
        [
            SetAsideRow(
                upload=upload,
                line=problem.line,
                code=problem.code,
                field=problem.field,
                message=problem.message,
                text=problem.text,
            )
            for problem in problems
        ],
        batch_size=CHUNK,
    )


def _solve(upload: Upload, labelled: Labelled, book: Book) -> Solve:
    read = labelled.read
    return Solve(
        member_id=upload.member_id,
        upload=upload,
        line=read.line,
        key=labelled.key,
        done_at=read.done_at,
        **raw_fields(read.row),
        **solve_labels(labelled.replay, book),
    )
