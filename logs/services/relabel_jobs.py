"""Labels made anew behind the request, by ranges of solves that workers share."""

import logging
import time
from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

from django.db import connection, transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from logs.models import ACTIVE, Club, Job, JobKind, JobStatus, Membership, Solve
from logs.selectors.book import book_of_member
from logs.services.ingest import PAUSE_S
from logs.services.jobs import (
    Lease,
    LeaseLostError,
    job_beat,
    job_finish,
    job_hold,
    job_release,
    jobs_deliver,
)
from logs.services.relabel import relabel_batch

if TYPE_CHECKING:
    from clubsite.accounts.models import User

PART = 20_000
"""Solves of one part: some tens of seconds of work, so that workers end at nearly the same time."""
BATCH = 500
"""Solves of a transaction."""

logger = logging.getLogger(__name__)


@transaction.atomic
def relabel_start(
    *,
    now: datetime,
    club: Club | None = None,
    member: "User | None" = None,
    part_solves: int = PART,
) -> Job | None:
    """Have solves be labelled anew: of a club's members, of one member, or of everybody.

    A relabelling of the same that still goes on is stopped: it may have passed solves already by
    the book of before.

    Returns:
        The first of its parts, which stands for them all; None when there is no solve.
    """
    old = Job.objects.filter(kind=JobKind.RELABEL, club=club, member=member, part_of=None)
    Job.objects.filter(Q(pk__in=old) | Q(part_of__in=old), status__in=ACTIVE).update(
        status=JobStatus.CANCELLED, token="", lease_until=None, ended_at=now
    )
    first: Job | None = None
    ids: list[int] = []
    before = 0
    while part := list(
        _solves(club, member)
        .filter(pk__gt=before)
        .order_by("pk")
        .values_list("pk", flat=True)[:part_solves]
    ):
        job = Job.objects.create(
            kind=JobKind.RELABEL,
            club=club,
            member=member,
            part_of=first,
            at_solve=before,
            last_solve=part[-1],
            n_total=len(part),
            made_at=now,
        )
        first = first or job
        ids.append(job.pk)
        before = part[-1]
    jobs_deliver(ids, now=now)
    return first


def relabel_start_if_behind(*, member: "User", now: datetime) -> Job | None:
    """`relabel_start` for a member whose solves are not all labelled by their book as it stands."""
    version = book_of_member(member=member).version
    is_behind = Solve.objects.filter(member=member).exclude(book_version=version).exists()
    return relabel_start(member=member, now=now) if is_behind else None


def relabel_run(lease: Lease, *, is_stopping: Callable[[], bool]) -> None:
    """Label what is left of the range of a held job, and end the job.

    Raises:
        LeaseLostError: The job was cancelled, taken by another or erased.
    """
    job = Job.objects.select_related("club", "member").filter(pk=lease.job_id).first()
    if job is None:
        raise LeaseLostError
    solves = _solves(job.club, job.member).filter(pk__lte=job.last_solve).order_by("pk")
    while ids := list(solves.filter(pk__gt=job.at_solve).values_list("pk", flat=True)[:BATCH]):
        if is_stopping():
            job_release(lease)
            return
        with transaction.atomic():
            done = relabel_batch(ids)
            for solve_id in done.refused:
                logger.warning("solve %s: the engine takes it no longer; labels kept", solve_id)
            job = job_hold(lease)
            job.at_solve = ids[-1]
            job.n_read += len(ids)
            job.n_changed += done.n_changed
            job.n_refused += len(done.refused)
            job_beat(job, "at_solve", "n_read", "n_changed", "n_refused", now=timezone.now())
        if connection.vendor == "sqlite":
            time.sleep(PAUSE_S)
    job_finish(lease, now=timezone.now())


def _solves(club: Club | None, member: "User | None") -> QuerySet[Solve]:
    if member is not None:
        return Solve.objects.filter(member=member)
    if club is not None:
        return Solve.objects.filter(member__in=Membership.objects.filter(club=club).values("user"))
    return Solve.objects.all()
