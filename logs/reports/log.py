"""The Log page: what was done lately, and what waits to be mended."""

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from logs.analytics.competition import Result, average_of_5, single
from logs.reports.jobs import JobReport, report_of
from logs.reports.people import time_zone_of
from logs.reports.solves import SolveLine, solve_line
from logs.reports.uploads import UploadLine, upload_line
from logs.reports.words import DNF, UNKNOWN, average
from logs.selectors.frames import solve_frame
from logs.selectors.jobs import relabelling_of_log
from logs.selectors.solves import solve_list
from logs.selectors.uploads import upload_list

if TYPE_CHECKING:
    from clubsite.accounts.models import User

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


def log_report(*, actor: "User", now: datetime) -> LogReport:
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
        n_set_aside=sum(upload.n_set_aside for upload in uploads),
        best=_result(single(times)),
        average=_result(latest),
        n_average=0 if latest is None else 5,
        job=None if job is None else report_of(job, now),
    )


def _result(result: Result | None) -> str:
    if result is None:
        return UNKNOWN
    return DNF if result.time_ms is None else average(result.time_ms)
