"""How far a job has come: for pages, which ask again and again, and for the API."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.core.paginator import Paginator

from clubsite.accounts.models import User
from logs.jobs.models import Job
from logs.jobs.selectors import each_with_parts, job_get, job_list, with_parts

WAITING_LONG = timedelta(minutes=1)


PAGE_SIZE = 50


PACE_FROM_S = 2
"""Seconds of work from which on the time left is told: a pace of less is no pace."""


@dataclass(frozen=True, slots=True)
class JobReport:
    """A job; of one in parts, all of them together.

    Attributes:
        id: Its number.
        kind: ``upload``, ``relabel`` or ``letter``.
        status: ``queued``, ``running``, ``done``, ``cancelled`` or ``failed``.
        upload_id: The upload whose rows it takes in, if any.
        club_slug: The club whose members' solves it labels anew; empty when it is one member's.
        n_total: Rows or solves there are to read.
        n_read: Those read. Of an upload it is taken + doubled + set aside, at all times.
        n_taken, n_doubled, n_set_aside: What became of an upload's rows when they were read; rows
            that were mended since are in the upload's own counts.
        n_changed: Of a relabelling, the solves of which a label differs now.
        n_refused: Of a relabelling, the solves that the engine takes no longer.
        share: Whole percent of ``n_total`` that is read; 100 only when all is.
        is_waiting_long: Whether no worker has come for it in a minute.
        left_s: Whole seconds left at the pace so far; None when there is none to tell.
        error_code: Why it failed, for programs; else empty.
        error_message: The same for people.
        made_at, started_at, ended_at: Instants in UTC; ``started_at`` is of the last start.
    """

    id: int
    kind: str
    status: str
    upload_id: int | None
    club_slug: str
    n_total: int
    n_read: int
    n_taken: int
    n_doubled: int
    n_set_aside: int
    n_changed: int
    n_refused: int
    share: int
    is_waiting_long: bool
    left_s: int | None
    error_code: str
    error_message: str
    made_at: datetime
    started_at: datetime | None
    ended_at: datetime | None

    @property
    def is_active(self) -> bool:
        """Whether it goes on by itself."""
        return self.status in {"queued", "running"}

    @property
    def can_resume(self) -> bool:
        """Whether it was stopped before its end and can go on."""
        return self.status in {"cancelled", "failed"}


@dataclass(frozen=True, slots=True)
class JobPage:
    """A page of jobs, the newest first.

    Attributes:
        lines: The jobs of this page.
        n: How many jobs there are over all pages.
        page: Number of this page, from 1.
        n_pages: How many pages there are.
    """

    lines: tuple[JobReport, ...]
    n: int
    page: int
    n_pages: int


def job_report(*, actor: User, job_id: int, now: datetime) -> JobReport:
    """A job about the actor's log, or about a club that they coach.

    Raises:
        NotFoundError: There is none, or it is not theirs.
    """
    return report_of(job_get(actor=actor, job_id=job_id), now)


def job_page(*, actor: User, now: datetime, page: int = 1) -> JobPage:
    """A page of the actor's jobs; past the end the last one."""
    found = Paginator(job_list(actor=actor), PAGE_SIZE).get_page(page)
    lines = tuple(_report(jobs, now) for jobs in each_with_parts(jobs=list(found)))
    return JobPage(lines, found.paginator.count, found.number, found.paginator.num_pages)


def report_of(job: Job, now: datetime) -> JobReport:
    """The report of a job that the caller was given."""
    return _report([job] if job.upload_id is not None else with_parts(job=job), now)


def _report(jobs: Sequence[Job], now: datetime) -> JobReport:
    """The report of a job, the first of ``jobs``, and its parts."""
    job = jobs[0]
    totals = {name: sum(getattr(part, name) for part in jobs) for name in _COUNTS}
    ended = [part.ended_at for part in jobs]
    failed = next((part for part in jobs if part.error_code), job)
    return JobReport(
        id=job.pk,
        kind=job.kind,
        status=_status(jobs),
        upload_id=job.upload_id,
        club_slug="" if job.club is None else job.club.slug,
        share=min(100, 100 * totals["n_read"] // max(1, totals["n_total"])),
        is_waiting_long=(
            job.status == "queued" and job.started_at is None and now - job.made_at > WAITING_LONG
        ),
        left_s=_left_s(jobs, now),
        error_code=failed.error_code,
        error_message=failed.error_message,
        made_at=job.made_at,
        started_at=min((part.started_at for part in jobs if part.started_at), default=None),
        ended_at=None if None in ended else max(end for end in ended if end),
        **totals,
    )


_COUNTS = ("n_total", "n_read", "n_taken", "n_doubled", "n_set_aside", "n_changed", "n_refused")


def _status(jobs: Sequence[Job]) -> str:
    """That of the part which decides: one that runs, waits, failed, was stopped, is done."""
    found = {job.status for job in jobs}
    order = ("running", "queued", "failed", "cancelled", "done")
    return next(status for status in order if status in found)


def _left_s(jobs: Sequence[Job], now: datetime) -> int | None:
    """Seconds left: what is unread by the pace of the parts that run."""
    pace = 0.0
    for job in jobs:
        if job.status == "running" and job.started_at is not None:
            spent = now - job.started_at
            if spent >= timedelta(seconds=PACE_FROM_S):
                pace += (job.n_read - job.n_before) / spent.total_seconds()
    n_left = sum(max(0, job.n_total - job.n_read) for job in jobs)
    return round(n_left / pace) if pace else None
