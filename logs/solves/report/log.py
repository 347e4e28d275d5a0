"""What became of an uploaded file."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.core.paginator import Paginator

from clubsite.accounts.models import User
from logs.errors import RowProblem
from logs.intake.mends import Mend, RowCell, RowFile, place_problem, place_words
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
from logs.words import DNF, UNKNOWN, average, moment

SHOWN_ROWS = 50


@dataclass(frozen=True, slots=True)
class UploadLine:
    """An upload on a line: its counts always add up to ``n_rows``, the rows that were read.

    ``n_left_out`` are those set aside that wait no more to be mended; ``n_unread`` are rows of its
    file that still wait to be read, or that it was stopped before.
    """

    id: int
    file_name: str
    received: str
    n_rows: int
    n_taken: int
    n_doubled: int
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
        field: The column at fault, or empty.
        turn: Which turn of that column's cell cannot be read, from 1; null where all can.
        message: The reason and the mend.
        text: The row as it came.
        cells: Its cells, the one at fault marked; empty where it cannot be cut into cells.
        mend: What would likely mend it; null where nothing is likely.
    """

    id: int
    line: int
    field: str
    turn: int | None
    message: str
    text: str
    cells: tuple[RowCell, ...]
    mend: Mend | None

    @property
    def place(self) -> str:
        """The column and the turn in words; empty for the whole row."""
        return place_words(self.field, self.turn)


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


def upload_line(upload: Upload, zone: ZoneInfo) -> UploadLine:
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
        upload=upload_line(upload, time_zone_of(actor=actor)),
        rows=tuple(_set_aside_line(row, upload, now) for row in rows[:SHOWN_ROWS]),
        n_more_rows=max(0, len(rows) - SHOWN_ROWS),
        columns=(upload.mapping["separator"] if upload.mapping else ",").join(upload.columns),
        unknown_columns=tuple(upload.unknown_columns),
        format=upload.format,
        job=None if job is None or job.status == "done" else report_of(job, now),
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
    """What the Log page shows.

    Attributes:
        solves: The newest solves and drills.
        uploads: The newest uploads.
        n_solves: All solves, drills aside.
        n_drills: All drills.
        n_uploads: All uploads.
        n_set_aside: Rows of all uploads that wait to be mended.
        best: The fastest solve, or a dash.
        average: The average of the last five solves, or a dash.
        n_average: How many solves stand behind it: 5 or 0.
        job: How far their labels are made anew, when that goes on.
    """

    solves: tuple[SolveLine, ...]
    uploads: tuple[UploadLine, ...]
    n_solves: int
    n_drills: int
    n_uploads: int
    n_set_aside: int
    best: str
    average: str
    n_average: int
    job: JobReport | None


def log_report(*, actor: User, now: datetime) -> LogReport:
    """What the actor's Log page shows."""
    zone = time_zone_of(actor=actor)
    frame = solve_frame(actor=actor, member=actor)
    solves = frame[frame["kind"] != "drill"]
    times = solves["time_ms"].tolist()
    latest = average_of_5(times[-5:])
    uploads = upload_list(actor=actor)
    job = relabelling_of_log(actor=actor)
    newest = solve_list(actor=actor, member=actor, page_size=N_SOLVES)
    return LogReport(
        solves=tuple(solve_line(solve, zone) for solve in newest),
        uploads=tuple(upload_line(upload, zone) for upload in uploads[:N_UPLOADS]),
        n_solves=len(solves),
        n_drills=len(frame) - len(solves),
        n_uploads=len(uploads),
        n_set_aside=sum(
            upload.n_set_aside - getattr(upload, "n_left_out", 0) for upload in uploads
        ),
        best=_result(single(times)),
        average=_result(latest),
        n_average=0 if latest is None else 5,
        job=None if job is None else report_of(job, now),
    )


def _result(result: Result | None) -> str:
    if result is None:
        return UNKNOWN
    return DNF if result.time_ms is None else average(result.time_ms)


PAGE_SIZE = 50


@dataclass(frozen=True, slots=True)
class UploadPage:
    """A page of uploads, the newest first; ``n`` over all pages, of which there are ``n_pages``."""

    lines: tuple[UploadLine, ...]
    n: int
    page: int
    n_pages: int


@dataclass(frozen=True, slots=True)
class SetAsidePage:
    """A page of an upload's rows that wait to be mended, in the order of the file."""

    lines: tuple[SetAsideLine, ...]
    n: int
    page: int
    n_pages: int


def upload_page(*, actor: User, page: int = 1) -> UploadPage:
    """A page of the actor's uploads; past the end the last one."""
    zone = time_zone_of(actor=actor)
    found = Paginator(upload_list(actor=actor), PAGE_SIZE).get_page(page)
    lines = tuple(upload_line(upload, zone) for upload in found)
    return UploadPage(lines, found.paginator.count, found.number, found.paginator.num_pages)


def set_aside_page(*, actor: User, upload_id: int, now: datetime, page: int = 1) -> SetAsidePage:
    """A page of the rows that wait; past the end the last one.

    Raises:
        NotFoundError: There is no such upload, or it is somebody else's.
    """
    upload = upload_get(actor=actor, upload_id=upload_id)
    found = Paginator(set_aside_list(actor=actor, upload=upload), PAGE_SIZE).get_page(page)
    lines = tuple(_set_aside_line(row, upload, now) for row in found)
    return SetAsidePage(lines, found.paginator.count, found.number, found.paginator.num_pages)
