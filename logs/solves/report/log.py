"""What became of an uploaded file."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.core.paginator import Paginator

from clubsite.accounts.models import User
from logs.errors import RowProblem
from logs.intake.mends import Mend, RowCell, RowFile, place_problem
from logs.intake.rows import Clock, Format
from logs.jobs.models import Job
from logs.jobs.report import JobReport, report_of
from logs.jobs.selectors import relabelling_of_log
from logs.people.sight import time_zone_of
from logs.solves.figures.frames import Result, average_of_5, single
from logs.solves.models.solves import SetAsideRow, Upload
from logs.solves.report.solves import SolveLine, solve_line
from logs.solves.selectors.frames import solve_frame
from logs.solves.selectors.solves import (
    set_aside_get,
    set_aside_list,
    set_aside_text,
    solve_list,
    upload_get,
    upload_list,
)
from logs.solves.services.mappings import mapping_of

SHOWN_ROWS = 50


@dataclass(frozen=True, slots=True)
class UploadLine:
    """An upload on a line. What became of the rows that were read always adds up to them.

    Attributes:
        id: Its number.
        file_name: Name of its file.
        received_at: When it was sent.
        n_rows: Rows that were read.
        n_taken: Rows that became solves.
        n_doubled: Rows whose solve the log had already.
        n_completed: Rows that added to a solve from another file, or were chosen to correct one.
        n_on_hold: Rows that contradict a solve and wait for a decision.
        n_deleted: Rows of which the member deleted the solve.
        n_set_aside: Rows that could not be taken.
        n_left_out: Those of them that wait no more to be mended.
        n_unread: Rows of its file that still wait to be read, or that it was stopped before.
    """

    id: int
    file_name: str
    received_at: datetime
    n_rows: int
    n_taken: int
    n_doubled: int
    n_completed: int
    n_on_hold: int
    n_deleted: int
    n_set_aside: int
    n_left_out: int
    n_unread: int

    @property
    def n_to_mend(self) -> int:
        """How many rows wait to be mended."""
        return self.n_set_aside - self.n_left_out


@dataclass(frozen=True, slots=True)
class SetAsideLine:
    """A row that could not be taken.

    Attributes:
        id: Its number.
        line: Where it stands in the file.
        code: Name of the reason, for programs.
        field: The column at fault, or empty.
        turn: Which turn of that column's cell cannot be read, from 1; null where all can.
        message: The reason and the mend, for people.
        text: The row as it came.
        cells: Its cells, the one at fault marked; empty where it cannot be cut into cells.
        mend: What would likely mend it; null where nothing is likely.
    """

    id: int
    line: int
    code: str
    field: str
    turn: int | None
    message: str
    text: str
    cells: tuple[RowCell, ...]
    mend: Mend | None


@dataclass(frozen=True, slots=True)
class UploadReport:
    """What became of an upload.

    Attributes:
        upload: Its counts.
        rows: The first rows that wait to be mended, at most 50.
        n_more_rows: Those beyond.
        columns: Names of its columns, in their order; empty for JSON Lines.
        separator: What stands between two cells.
        unknown_columns: Names of the columns that are not read.
        format: How it is written.
        job: The job that takes its rows in; null once all are read.
        zone: Time zone that the member's log is read in, an IANA name.
    """

    upload: UploadLine
    rows: tuple[SetAsideLine, ...]
    n_more_rows: int
    columns: tuple[str, ...]
    separator: str
    unknown_columns: tuple[str, ...]
    format: Format
    job: JobReport | None
    zone: ZoneInfo


def upload_line(upload: Upload) -> UploadLine:
    """The line of an upload."""
    job = job_of(upload)
    return UploadLine(
        id=upload.pk,
        file_name=upload.file_name,
        received_at=upload.received_at,
        n_rows=upload.n_rows,
        n_taken=upload.n_taken,
        n_doubled=upload.n_doubled,
        n_completed=upload.n_completed,
        n_on_hold=upload.n_on_hold,
        n_deleted=upload.n_deleted,
        n_set_aside=upload.n_set_aside,
        n_left_out=getattr(upload, "n_left_out", 0),
        n_unread=0 if job is None else job.n_total - job.n_read,
    )


def job_of(upload: Upload) -> Job | None:
    """The job of an upload's rows; those of old times were taken in without."""
    job: Job | None = getattr(upload, "job", None)
    return job


def upload_report(*, actor: User, upload_id: int, now: datetime) -> UploadReport:
    """What became of one of the actor's uploads.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    upload = upload_get(actor=actor, upload_id=upload_id)
    rows = set_aside_list(actor=actor, upload=upload)
    job = job_of(upload)
    return UploadReport(
        upload=upload_line(upload),
        rows=tuple(_set_aside_line(row, upload, now) for row in rows[:SHOWN_ROWS]),
        n_more_rows=max(0, len(rows) - SHOWN_ROWS),
        columns=tuple(upload.columns),
        separator=upload.mapping["separator"] if upload.mapping else ",",
        unknown_columns=tuple(upload.unknown_columns),
        format=Format(upload.format),
        job=None if job is None or job.status == "done" else report_of(job, now),
        zone=time_zone_of(actor=actor),
    )


def set_aside_file(*, actor: User, upload_id: int) -> tuple[str, str]:
    """The rows that wait to be mended, as a file: its name and its text.

    Raises:
        NotFoundError: There is no such upload, or it is somebody else's.
    """
    upload = upload_get(actor=actor, upload_id=upload_id)
    name = f"set-aside-{upload.pk}.{Format(upload.format).suffix}"
    return name, set_aside_text(actor=actor, upload=upload)


def upload_of_row(*, actor: User, set_aside_id: int) -> int:
    """The number of the upload a set-aside row came in.

    Raises:
        NotFoundError: There is no such row, or it is somebody else's.
    """
    return set_aside_get(actor=actor, set_aside_id=set_aside_id).upload_id


def _set_aside_line(row: SetAsideRow, upload: Upload, now: datetime) -> SetAsideLine:
    place = place_problem(
        RowProblem(row.line, row.code, row.field, row.message, row.text),
        RowFile(Format(upload.format), upload.columns, mapping_of(upload)),
        Clock(ZoneInfo(upload.time_zone), now),
    )
    return SetAsideLine(
        id=row.pk,
        line=row.line,
        code=row.code,
        field=row.field,
        turn=place.turn,
        message=row.message,
        text=row.text,
        cells=place.cells,
        mend=place.mend,
    )


N_SOLVES = 12


N_UPLOADS = 5


@dataclass(frozen=True, slots=True)
class LogReport:
    """A log at a glance.

    Attributes:
        solves: The newest solves and drills.
        uploads: The newest uploads.
        n_solves: All solves, drills aside.
        n_drills: All drills.
        n_uploads: All uploads.
        n_set_aside: Rows of all uploads that wait to be mended.
        best: The fastest solve; null without any.
        average: The average of the last five solves; null where there are fewer.
        job: How far their labels are made anew; null unless that goes on.
        zone: Time zone that the log is read in, an IANA name.
    """

    solves: tuple[SolveLine, ...]
    uploads: tuple[UploadLine, ...]
    n_solves: int
    n_drills: int
    n_uploads: int
    n_set_aside: int
    best: Result | None
    average: Result | None
    job: JobReport | None
    zone: ZoneInfo


def log_report(*, actor: User, now: datetime) -> LogReport:
    """What the actor's Log page shows."""
    frame = solve_frame(actor=actor, member=actor)
    solves = frame[frame["kind"] != "drill"]
    times = solves["time_ms"].tolist()
    uploads = upload_list(actor=actor)
    job = relabelling_of_log(actor=actor)
    newest = solve_list(actor=actor, member=actor, page_size=N_SOLVES)
    return LogReport(
        solves=tuple(map(solve_line, newest)),
        uploads=tuple(map(upload_line, uploads[:N_UPLOADS])),
        n_solves=len(solves),
        n_drills=len(frame) - len(solves),
        n_uploads=len(uploads),
        n_set_aside=sum(
            upload.n_set_aside - getattr(upload, "n_left_out", 0) for upload in uploads
        ),
        best=single(times),
        average=average_of_5(times[-5:]),
        job=None if job is None else report_of(job, now),
        zone=time_zone_of(actor=actor),
    )


PAGE_SIZE = 50


@dataclass(frozen=True, slots=True)
class UploadPage:
    """A page of uploads, the newest first.

    Attributes:
        lines: The uploads of this page.
        n: How many uploads there are over all pages.
        page: Number of this page, from 1.
        n_pages: How many pages there are.
    """

    lines: tuple[UploadLine, ...]
    n: int
    page: int
    n_pages: int


@dataclass(frozen=True, slots=True)
class SetAsidePage:
    """A page of an upload's rows that wait to be mended, in the order of the file.

    Attributes:
        lines: The rows of this page.
        n: How many rows wait over all pages.
        page: Number of this page, from 1.
        n_pages: How many pages there are.
    """

    lines: tuple[SetAsideLine, ...]
    n: int
    page: int
    n_pages: int


def upload_page(*, actor: User, page: int = 1) -> UploadPage:
    """A page of the actor's uploads; past the end the last one."""
    uploads = Paginator(upload_list(actor=actor), PAGE_SIZE).get_page(page)
    lines = tuple(map(upload_line, uploads))
    return UploadPage(lines, uploads.paginator.count, uploads.number, uploads.paginator.num_pages)


def set_aside_page(*, actor: User, upload_id: int, now: datetime, page: int = 1) -> SetAsidePage:
    """A page of the rows that wait; past the end the last one.

    Raises:
        NotFoundError: There is no such upload, or it is somebody else's.
    """
    upload = upload_get(actor=actor, upload_id=upload_id)
    rows = Paginator(set_aside_list(actor=actor, upload=upload), PAGE_SIZE).get_page(page)
    lines = tuple(_set_aside_line(row, upload, now) for row in rows)
    return SetAsidePage(lines, rows.paginator.count, rows.number, rows.paginator.num_pages)
