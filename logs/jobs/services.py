"""Ids of jobs handed to the task engine, where the site has one; without one workers look by themselves."""

import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache

from celery import Celery
from django.conf import settings
from django.db import transaction
from django.db.models import F, Q, QuerySet

from clubsite.accounts.models import User
from logs.errors import ConflictError
from logs.jobs.models import ACTIVE, Job, JobStatus
from logs.jobs.selectors import job_get

TASK = "logs.execute"
"""The engine's name for `logs.tasks.execute`."""


def is_delivering() -> bool:
    """Whether there is a task engine."""
    return bool(settings.BROKER)


def deliver(job_id: int) -> bool:
    """Hand a job's id over; False when the engine cannot be reached, and a sweep tries again."""
    # Imported here alone: without a broker the engine is never loaded.
    from kombu.exceptions import OperationalError  # noqa: PLC0415 - see above

    try:
        _engine().send_task(TASK, args=[job_id], retry=False)
    except OperationalError:
        return False
    return True


@cache
def _engine() -> Celery:
    from celery import Celery  # noqa: PLC0415 - see above

    engine = Celery("logs", broker=settings.BROKER, set_as_current=False)
    engine.conf.broker_transport_options = {"socket_connect_timeout": 2, "socket_timeout": 5}
    return engine


LEASE = timedelta(seconds=60)
"""How long a worker may be silent: far above the longest time between two of its beats."""


MAX_ATTEMPTS = 5
"""Times a job is begun without getting on before it is given up."""


REDELIVER_AFTER = timedelta(minutes=2)
"""How long a queued job waits for the task engine before its id is handed over again."""


PAUSE_S = 0.02
"""Between chunks on SQLite, whose one writer's place is not given out in turn: it lets others in."""


STUCK = (
    "stuck",
    f"It was begun {MAX_ATTEMPTS} times without getting on, so it was stopped. What was done stays"
    " done; tell whoever runs the site, and try again.",
)


class LeaseLostError(Exception):
    """The job is somebody else's by now, or was cancelled: nothing more may be written for it."""


@dataclass(frozen=True, slots=True)
class Lease:
    """A job that is held: its number and the token that it is held by."""

    job_id: int
    token: str


def job_claim(job_id: int, *, worker: str, now: datetime) -> Lease | None:
    """Take a job that waits, or whose holder has been silent for too long.

    Args:
        job_id: Which.
        worker: Who takes it; `jobs_let_go` of this name frees what it held.
        now: When.

    Returns:
        None when it is not to be had: held, ended, gone or given up.
    """
    token = f"{worker}:{secrets.token_hex(8)}"
    n_claimed = Job.objects.filter(_claimable(now), pk=job_id, attempts__lt=MAX_ATTEMPTS).update(
        status=JobStatus.RUNNING,
        token=token,
        lease_until=now + LEASE,
        attempts=F("attempts") + 1,
        started_at=now,
        n_before=F("n_read"),
    )
    return Lease(job_id, token) if n_claimed else None


def job_claim_next(*, worker: str, now: datetime) -> Lease | None:
    """Take the oldest job that is to be had, if there is one."""
    waiting = Job.objects.filter(_claimable(now), attempts__lt=MAX_ATTEMPTS).order_by("pk")
    for job_id in waiting.values_list("pk", flat=True)[:10]:
        if lease := job_claim(job_id, worker=worker, now=now):
            return lease
    return None


def job_kind(lease: Lease) -> str:
    """What the job does.

    Raises:
        LeaseLostError: It is not held by this lease any more.
    """
    kind = _held(lease).values_list("kind", flat=True).first()
    if kind is None:
        raise LeaseLostError
    return kind


def job_hold(lease: Lease) -> Job:
    """The job, locked until the transaction ends, so that what is written stands or falls with it.

    Raises:
        LeaseLostError: It is not held by this lease any more.
    """
    job = Job.objects.select_for_update().filter(pk=lease.job_id, token=lease.token).first()
    if job is None:
        raise LeaseLostError
    return job


def job_beat(job: Job, *fields: str, now: datetime) -> None:
    """Write how far a held job has come, and hold it for another while."""
    job.lease_until = now + LEASE
    job.attempts = 0
    job.save(update_fields=[*fields, "lease_until", "attempts"])


def job_finish(lease: Lease, *, now: datetime) -> None:
    """Have the job be done.

    Raises:
        LeaseLostError: It is not held by this lease any more.
    """
    _end(lease, now, status=JobStatus.DONE)


def job_fail(lease: Lease, *, code: str, message: str, now: datetime) -> None:
    """Have the job be over, with the reason that its owner reads.

    Raises:
        LeaseLostError: It is not held by this lease any more.
    """
    _end(lease, now, status=JobStatus.FAILED, error_code=code, error_message=message)


def job_release(lease: Lease) -> None:
    """Let a job go before it is done, for another worker to take it up."""
    _held(lease).update(status=JobStatus.QUEUED, token="", lease_until=None)


def jobs_let_go(*, worker: str) -> int:
    """Free what a worker held that is known to be dead; how many jobs it was."""
    held = Job.objects.filter(status=JobStatus.RUNNING, token__startswith=f"{worker}:")
    return held.update(status=JobStatus.QUEUED, token="", lease_until=None)


def job_cancel(*, actor: User, job_id: int, now: datetime) -> Job:
    """Stop a job, with all its parts. What was done stays done.

    Raises:
        NotFoundError: There is none, or it is not the actor's.
        ConflictError: It is over already.
    """
    job = job_get(actor=actor, job_id=job_id)
    n_stopped = Job.objects.filter(_with_parts(job), status__in=ACTIVE).update(
        status=JobStatus.CANCELLED, token="", lease_until=None, ended_at=now
    )
    if not n_stopped:
        raise ConflictError("It is over already: nothing was stopped.")
    return job


@transaction.atomic
def job_resume(*, actor: User, job_id: int, now: datetime) -> Job:
    """Go on with a job that was cancelled or has failed, from where it stands.

    Raises:
        NotFoundError: There is none, or it is not the actor's.
        ConflictError: It is done, or goes on already.
    """
    job = job_get(actor=actor, job_id=job_id)
    stopped = Job.objects.filter(
        _with_parts(job), status__in=(JobStatus.CANCELLED, JobStatus.FAILED)
    )
    ids = list(stopped.values_list("pk", flat=True))
    if not stopped.update(
        status=JobStatus.QUEUED, attempts=0, ended_at=None, error_code="", error_message=""
    ):
        raise ConflictError("It is done, or goes on already.")
    jobs_deliver(ids, now=now)
    return job


def jobs_deliver(job_ids: Iterable[int], *, now: datetime) -> None:
    """Hand jobs to the task engine, where there is one, once this transaction is committed."""
    ids = list(job_ids)

    def hand_over() -> None:
        handed = [job_id for job_id in ids if deliver(job_id)]
        Job.objects.filter(pk__in=handed).update(delivered_at=now)

    if is_delivering():
        transaction.on_commit(hand_over)


def jobs_sweep(*, now: datetime) -> int:
    """Give up jobs that never get on, and hand over again those that are silent or never came.

    Returns:
        How many were handed over.
    """
    Job.objects.filter(_claimable(now), attempts__gte=MAX_ATTEMPTS).update(
        status=JobStatus.FAILED,
        token="",
        lease_until=None,
        ended_at=now,
        error_code=STUCK[0],
        error_message=STUCK[1],
    )
    silent = Q(status=JobStatus.RUNNING, lease_until__lt=now)
    lost = Q(status=JobStatus.QUEUED) & (
        Q(delivered_at=None) | Q(delivered_at__lt=now - REDELIVER_AFTER)
    )
    ids = list(Job.objects.filter(silent | lost).order_by("pk").values_list("pk", flat=True))
    jobs_deliver(ids, now=now)
    return len(ids)


def _claimable(now: datetime) -> Q:
    return Q(status=JobStatus.QUEUED) | Q(status=JobStatus.RUNNING, lease_until__lt=now)


def _held(lease: Lease) -> QuerySet[Job]:
    return Job.objects.filter(pk=lease.job_id, token=lease.token, status=JobStatus.RUNNING)


def _end(lease: Lease, now: datetime, **fields: str) -> None:
    if not _held(lease).update(token="", lease_until=None, ended_at=now, **fields):
        raise LeaseLostError


def _with_parts(job: Job) -> Q:
    return Q(pk=job.pk) | Q(part_of=job)
