"""Uploads: a file, or one solve, stored and taken in.

A set-aside row, mended by its member.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import PurePosixPath, PureWindowsPath
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils import timezone

from clubsite.accounts.models import User
from cubecore.book import Book
from logs.algorithms.selectors import book_of_member
from logs.errors import ConflictError, RowProblem, UploadRejectedError
from logs.intake.mapping import ColumnMapping, mapping_to_json
from logs.intake.reading import read_mended, read_upload
from logs.intake.rows import Clock, Format, ParsedUpload
from logs.intake.source import SourceFile
from logs.jobs.models import Job, JobKind
from logs.jobs.services import Lease, LeaseLostError, job_claim, jobs_deliver
from logs.people.locks import lock_log
from logs.solves.models.kept_rows import TELLING, Fate, KeptRow
from logs.solves.models.solves import SetAsideRow, Solve, Upload
from logs.solves.selectors.solves import set_aside_get
from logs.solves.services.deciding import arrival_of
from logs.solves.services.ingest import ingest, upload_read
from logs.solves.services.labels import Labelled, label_rows, solve_key
from logs.solves.services.mappings import mapping_of
from logs.solves.services.rows import COUNT_FIELDS, count_fates, store_rows

MAX_FILE_NAME = 200
FILE_NAME = "one solve"


def plain_name(name: str) -> str:
    """The last part of a path, without what does not print, cut to what is kept."""
    last = PurePosixPath(PureWindowsPath(name).as_posix()).name
    printable = "".join(char for char in last if char.isprintable()).strip()
    return printable[:MAX_FILE_NAME] or "log"


REQUEST = "request"
"""The name that a request holds its job by."""


def upload_import(
    *,
    member: User,
    source: SourceFile,
    file_name: str,
    time_zone: ZoneInfo,
    now: datetime,
    book: Book | None = None,
    inline_rows: int | None = None,
    mapping: ColumnMapping | None = None,
) -> Upload:
    """Take in a log: its rows become solves, or are set aside with the reason.

    The file is kept with its job before any row is taken, so that whatever stops this, a worker
    finishes it. A file the member has sent before is answered with its upload as it stands,
    ``is_repeat`` set. A solve the member has already counts as doubled.

    Args:
        member: Whose log it is.
        source: The file.
        file_name: Its name, kept for show alone.
        time_zone: The club's, for times without an offset.
        now: When it came.
        book: The algorithms to name looks by; the member's book when None.
        inline_rows: A file of more rows is left to a worker; None takes in any file here.
        mapping: How the file is read when it is in none of our own formats; kept with it.

    Raises:
        UploadRejectedError: No row of it can be read; nothing is stored.
    """
    known = _known_upload(member, source)
    if known is not None:
        return known
    parsed = read_upload(source, Clock(time_zone, now), mapping)
    if parsed.refusal is not None:
        raise UploadRejectedError([parsed.refusal])
    is_inline = inline_rows is None or parsed.n_rows <= inline_rows
    upload, lease = _keep(member, source, file_name, time_zone, now, parsed, mapping, is_inline)
    if lease is None:
        return upload
    try:
        ingest(lease, upload, parsed=parsed, book=book)
    except LeaseLostError:  # stopped by the member, or gone on with elsewhere
        upload.refresh_from_db()
    return upload


@transaction.atomic
def _keep(
    member: User,
    source: SourceFile,
    file_name: str,
    time_zone: ZoneInfo,
    now: datetime,
    parsed: ParsedUpload,
    mapping: ColumnMapping | None,
    is_inline: bool,
) -> tuple[Upload, Lease | None]:
    """Store the file and the job of its rows; the lease of the job when it is done here."""
    lock_log(member.pk)
    known = _known_upload(member, source)
    if known is not None:
        return known, None
    assert parsed.format is not None
    upload = Upload.objects.create(
        member=member,
        sha256=source.digest,
        content=source.content,
        file_name=plain_name(file_name),
        format=parsed.format.value,
        time_zone=time_zone.key,
        columns=list(parsed.columns),
        unknown_columns=list(parsed.unknown_columns),
        mapping=None if mapping is None else mapping_to_json(mapping),
        received_at=now,
        n_rows=0,
        n_taken=0,
        n_doubled=0,
        n_set_aside=0,
    )
    job = Job.objects.create(
        kind=JobKind.UPLOAD, member=member, upload=upload, n_total=parsed.n_rows, made_at=now
    )
    if is_inline:
        return upload, job_claim(job.pk, worker=REQUEST, now=timezone.now())
    jobs_deliver([job.pk], now=now)
    return upload, None


def _known_upload(member: User, source: SourceFile) -> Upload | None:
    known = Upload.objects.filter(member=member, sha256=source.digest).defer("content").first()
    if known is not None:
        known.is_repeat = True
    return known


def solve_add(
    *, member: User, values: Mapping[str, object], time_zone: ZoneInfo, now: datetime
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
    source = SourceFile(json.dumps(values, sort_keys=True).encode() + b"\n")
    read = read_upload(source, Clock(time_zone, now))
    if read.refusal is not None:
        raise UploadRejectedError([read.refusal])
    book = book_of_member(member=member)
    problems = read.problems or label_rows(read.rows, book=book).problems
    if problems:
        raise UploadRejectedError(problems)
    return upload_import(
        member=member,
        source=source,
        file_name=FILE_NAME,
        time_zone=time_zone,
        now=now,
        book=book,
    )


@dataclass(frozen=True, slots=True)
class Mended:
    """What became of a mended row: ``fate`` or ``problem``, never both.

    Attributes:
        fate: What became of it; None where it is still wrong.
        solve: The solve that it tells of; None where its member deleted that.
        problem: What is still wrong with it; then nothing has changed.
    """

    fate: Fate | None = None
    solve: Solve | None = None
    problem: RowProblem | None = None

    @property
    def is_doubled(self) -> bool:
        """Whether the member had the solve already."""
        return self.fate in TELLING


@transaction.atomic
def set_aside_mend(
    *, actor: User, set_aside_id: int, text: str, now: datetime, book: Book | None = None
) -> Mended:
    """Read a set-aside row again, as ``text`` has it, and take it if it can be taken.

    Args:
        actor: Whose row it is.
        set_aside_id: Which row.
        text: The row in its file's format; for CSV, under its file's header.
        now: When it was mended.
        book: The algorithms to name looks by; the member's book when None.

    Raises:
        NotFoundError: There is no such row, or it is somebody else's.
        ConflictError: It was taken before.
    """
    book = book or book_of_member(member=actor)
    lock_log(actor.pk)
    aside = set_aside_get(actor=actor, set_aside_id=set_aside_id)
    if aside.mended_at is not None:
        raise ConflictError("This row has been taken already.")
    upload = aside.upload
    read = read_mended(
        text,
        format=Format(upload.format),
        columns=upload.columns,
        line=aside.line,
        clock=Clock(ZoneInfo(upload.time_zone), now),
        mapping=mapping_of(upload),
    )
    if isinstance(read, RowProblem):
        return Mended(problem=read)
    labelled = label_rows([read], book=book)
    if labelled.problems:
        return Mended(problem=labelled.problems[0])
    return _take(aside, _numbered(upload, labelled.rows[0], book), now, book)


@transaction.atomic
def set_aside_leave_out(*, actor: User, set_aside_id: int, now: datetime) -> SetAsideRow:
    """Let a row wait no more; it stays among the set-aside ones of its upload, and in its file.

    Raises:
        NotFoundError: There is no such row, or it is somebody else's.
        ConflictError: It was taken before.
    """
    lock_log(actor.pk)
    aside = set_aside_get(actor=actor, set_aside_id=set_aside_id)
    if aside.mended_at is not None:
        raise ConflictError("This row has been taken already.")
    aside.left_out_at = now
    aside.save(update_fields=["left_out_at"])
    return aside


def _take(aside: SetAsideRow, labelled: Labelled, now: datetime, book: Book) -> Mended:
    """Store the row and move it from one count of its upload to another."""
    upload = aside.upload
    fates = store_rows(upload, [arrival_of(labelled)], book)
    count_fates(upload, fates)
    upload.n_set_aside -= 1
    upload.save(update_fields=COUNT_FIELDS)
    aside.mended_at = now
    aside.save(update_fields=["mended_at"])
    (fate,) = fates
    number = KeptRow.objects.filter(upload=upload, line=aside.line).values("solve_number")
    solve = Solve.objects.filter(upload=upload, line=aside.line).first()
    solve = solve or Solve.objects.filter(pk__in=number).first()
    return Mended(solve=solve, fate=fate)


def _numbered(upload: Upload, labelled: Labelled, book: Book) -> Labelled:
    """The row with its key; without ``done_at`` it counts behind its like in the file."""
    row, turns = labelled.read.row, labelled.replay.turns
    if labelled.read.done_at is not None:
        return labelled
    like = [
        other
        for other in upload_read(upload).rows
        if other.done_at is None
        and (other.row.time_ms, other.row.penalty) == (row.time_ms, row.penalty)
    ]
    undated = label_rows(like, book=book).rows
    same = [
        one for one in undated if solve_key(one.read.row, one.replay.turns, None) == labelled.key
    ]
    ordinal = len(same) + 1
    while Solve.objects.filter(upload=upload, key=solve_key(row, turns, None, ordinal)).exists():
        ordinal += 1
    return replace(labelled, key=solve_key(row, turns, None, ordinal))
