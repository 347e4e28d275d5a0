"""What a worker does with a job, whichever engine brings its number."""

import logging
import traceback
from collections.abc import Callable
from datetime import datetime

from django.db import InterfaceError, OperationalError
from django.utils import timezone

from logs.home.letters import letter_run
from logs.home.services import letters_queue
from logs.jobs.services import (
    Lease,
    LeaseLostError,
    job_claim,
    job_claim_next,
    job_fail,
    job_kind,
    jobs_sweep,
)
from logs.solves.services.ingest import upload_run
from logs.solves.services.relabel import relabel_run
from logs.solves.services.undo import uploads_purge
from logs.wall.services import walls_purge

INTERNAL = (
    "internal",
    "Something went wrong here, and it is not your doing. What was done stays done; try again, and"
    " tell whoever runs the site if it happens again.",
)


_RUNS = {"upload": upload_run, "relabel": relabel_run, "letter": letter_run}


logger = logging.getLogger(__name__)


def sweep(*, now: datetime) -> None:
    """Queue what is due by the calendar, give up what never gets on, hand over what is silent.

    Uploads that were taken back long ago go, and walls that ended.
    """
    letters_queue(now=now)
    jobs_sweep(now=now)
    uploads_purge(now=now)
    walls_purge(now=now)


def execute(job_id: int, *, worker: str, is_stopping: Callable[[], bool] = lambda: False) -> bool:
    """Do a job from where it stands; whether it was to be had.

    Args:
        job_id: Which.
        worker: The name to hold it by.
        is_stopping: Asked now and then; when true the job is let go for another worker.

    Raises:
        OperationalError: The database went away; the job is taken up again when its lease ends.
    """
    lease = job_claim(job_id, worker=worker, now=timezone.now())
    if lease is None:
        return False
    _run(lease, is_stopping)
    return True


def execute_next(*, worker: str, is_stopping: Callable[[], bool] = lambda: False) -> bool:
    """`execute` for the oldest job that is to be had; whether there was one."""
    lease = job_claim_next(worker=worker, now=timezone.now())
    if lease is None:
        return False
    _run(lease, is_stopping)
    return True


def _run(lease: Lease, is_stopping: Callable[[], bool]) -> None:
    try:
        _RUNS[job_kind(lease)](lease, is_stopping=is_stopping)
    except LeaseLostError:
        logger.info("job %s was stopped or taken by another", lease.job_id)
    except (OperationalError, InterfaceError):
        raise
    except Exception as error:  # a fault of ours must not stop the other jobs
        # Without its message, which may hold what a member wrote.
        where = "".join(traceback.format_tb(error.__traceback__))
        logger.error("job %s failed: %s\n%s", lease.job_id, type(error).__name__, where)  # noqa: TRY400 - see above
        try:
            job_fail(lease, code=INTERNAL[0], message=INTERNAL[1], now=timezone.now())
        except LeaseLostError:
            logger.info("job %s had been stopped", lease.job_id)
