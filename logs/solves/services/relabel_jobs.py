"""Labels made anew behind the request, by ranges of solves that workers share."""

import logging
import time
from collections.abc import Callable
from datetime import datetime

from django.db import connection, transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from clubsite.accounts.models import User
from logs.algorithms.selectors import book_of_member
from logs.jobs.models import ACTIVE, Job, JobKind, JobStatus
from logs.jobs.selectors import is_being_relabelled
from logs.jobs.services import (
    Lease,
    LeaseLostError,
    job_beat,
    job_finish,
    job_hold,
    job_release,
    jobs_deliver,
)
from logs.people.models import Club, Membership
from logs.people.sight import coached_club_get
from logs.people.signals import membership_changed
from logs.solves.models.solves import Solve
from logs.solves.selectors.solves import is_relabelled
from logs.solves.services.ingest import PAUSE_S
from logs.solves.services.relabel import relabel_batch, solve_relabel

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
    member: User | None = None,
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


def relabel_start_if_behind(*, member: User, now: datetime) -> Job | None:
    """`relabel_start` for a member whose solves are not all labelled by their book as it stands."""
    version = book_of_member(member=member).version
    is_behind = Solve.objects.filter(member=member).exclude(book_version=version).exists()
    return relabel_start(member=member, now=now) if is_behind else None


def listen() -> None:
    """Label a member's solves anew after they joined or left a club with another book."""
    membership_changed.connect(_relabel_member, dispatch_uid="relabel_member")


def _relabel_member(*, member: User, now: datetime, **_: object) -> None:
    relabel_start_if_behind(member=member, now=now)


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


def _solves(club: Club | None, member: User | None) -> QuerySet[Solve]:
    if member is not None:
        return Solve.objects.filter(member=member)
    if club is not None:
        return Solve.objects.filter(member__in=Membership.objects.filter(club=club).values("user"))
    return Solve.objects.all()


RELABEL_LIMIT = 1_000
"""Solves that are labelled anew while the coach waits; above it a worker does it."""


def club_relabel(*, actor: User, slug: str, now: datetime, is_book_new: bool = False) -> bool:
    """Make the labels of all the club's members anew by their books, or leave it to a worker.

    Nothing is begun where none is behind, or where it goes on already, unless ``is_book_new``: what
    goes on may have passed solves by the book of before, so it is begun again.

    Returns:
        Whether it is done; else it goes on behind the request.

    Raises:
        NotFoundError: The club is not the actor's to coach.
    """
    club = coached_club_get(actor=actor, slug=slug)
    goes_on = is_being_relabelled(club=club)
    if goes_on and not is_book_new:
        return False
    if not goes_on and is_relabelled(actor=actor, club=club):
        return True
    members = list(Membership.objects.filter(club=club).values_list("user", flat=True))
    if Solve.objects.filter(member__in=members)[RELABEL_LIMIT : RELABEL_LIMIT + 1].exists():
        relabel_start(club=club, now=now)
        return False
    solve_relabel(member_ids=members)
    return True
