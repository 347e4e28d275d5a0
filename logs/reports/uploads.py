"""What became of an uploaded file."""

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from logs.intake.parsed import Format
from logs.reports.jobs import JobReport, report_of
from logs.reports.people import time_zone_of
from logs.reports.words import moment
from logs.selectors.uploads import set_aside_get, set_aside_list, set_aside_text, upload_get

if TYPE_CHECKING:
    from clubsite.accounts.models import User
    from logs.models import Job, SetAsideRow, Upload


SHOWN_ROWS = 50


@dataclass(frozen=True, slots=True)
class UploadLine:
    """An upload on a line: its counts always add up to ``n_rows``, the rows that were read.

    ``n_unread`` are those of its file that still wait, or that it was stopped before.
    """

    id: int
    file_name: str
    received: str
    n_rows: int
    n_taken: int
    n_doubled: int
    n_set_aside: int
    n_unread: int


@dataclass(frozen=True, slots=True)
class SetAsideLine:
    """A row that could not be taken.

    Attributes:
        id: Its number.
        line: Where it stands in the file.
        field: The column at fault, or empty.
        message: The reason and the mend.
        text: The row as it came, or as it was last tried.
    """

    id: int
    line: int
    field: str
    message: str
    text: str


@dataclass(frozen=True, slots=True)
class UploadReport:
    """The answer to an upload; ``rows`` holds the first ``SHOWN_ROWS`` that wait to be mended.

    ``job`` is None once all its rows are read.
    """

    upload: UploadLine
    rows: tuple[SetAsideLine, ...]
    n_more_rows: int
    columns: str
    unknown_columns: tuple[str, ...]
    format: str
    job: JobReport | None


def upload_line(upload: "Upload", zone: ZoneInfo) -> UploadLine:
    """The line of an upload."""
    job = job_of(upload)
    return UploadLine(
        id=upload.pk,
        file_name=upload.file_name,
        received=moment(upload.received_at, zone),
        n_rows=upload.n_rows,
        n_taken=upload.n_taken,
        n_doubled=upload.n_doubled,
        n_set_aside=upload.n_set_aside,
        n_unread=0 if job is None else job.n_total - job.n_read,
    )


def job_of(upload: "Upload") -> "Job | None":
    """The job of an upload's rows; those of old times were taken in without."""
    job: Job | None = getattr(upload, "job", None)
    return job


def upload_report(*, actor: "User", upload_id: int, now: datetime) -> UploadReport:
    """What became of one of the actor's uploads.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    upload = upload_get(actor=actor, upload_id=upload_id)
    rows = set_aside_list(actor=actor, upload=upload)
    job = job_of(upload)
    return UploadReport(
        upload=upload_line(upload, time_zone_of(actor=actor)),
        rows=tuple(map(_set_aside_line, rows[:SHOWN_ROWS])),
        n_more_rows=max(0, len(rows) - SHOWN_ROWS),
        columns=(upload.mapping["separator"] if upload.mapping else ",").join(upload.columns),
        unknown_columns=tuple(upload.unknown_columns),
        format=upload.format,
        job=None if job is None or job.status == "done" else report_of(job, now),
    )


def set_aside_file(*, actor: "User", upload_id: int) -> tuple[str, str]:
    """The rows that wait to be mended, as a file: its name and its text.

    Raises:
        NotFoundError: There is no such upload, or it is somebody else's.
    """
    upload = upload_get(actor=actor, upload_id=upload_id)
    name = f"set-aside-{upload.pk}.{Format(upload.format).suffix}"
    return name, set_aside_text(actor=actor, upload=upload)


def upload_of_row(*, actor: "User", set_aside_id: int) -> int:
    """The number of the upload a set-aside row came in.

    Raises:
        NotFoundError: There is no such row, or it is somebody else's.
    """
    return set_aside_get(actor=actor, set_aside_id=set_aside_id).upload_id


def _set_aside_line(row: "SetAsideRow") -> SetAsideLine:
    return SetAsideLine(row.pk, row.line, row.field, row.message, row.text)
