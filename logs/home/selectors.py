"""What only the first page asks of the tables: newest solves, whose logs came in, who joined."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Max, Q, Sum

from clubsite.accounts.models import User
from cubecore.endings import Status
from cubecore.replay import Kind
from cubecore.rows import PLUS_TWO_MS
from logs.errors import NotFoundError
from logs.people.models import AuditEvent, Membership, Verb
from logs.people.sight import ClubSight
from logs.solves.models.solves import Solve, Upload

NEWEST = 400
"""Solves that are read for the last sitting and what was usual before."""


@dataclass(frozen=True, slots=True)
class LogCount:
    """Logs that a member sent.

    Attributes:
        last_at: When the newest came in.
        n_solves: Rows taken of those since a moment.
    """

    last_at: datetime
    n_solves: int


def newest_times(*, actor: User) -> list[tuple[datetime, int]]:
    """When each of the actor's newest dated solves was done, and its time with +2, newest first.

    A DNF has no time and is left out.
    """
    solves = (
        Solve.objects.filter(member=actor, kind=Kind.SOLVE, done_at__isnull=False)
        .exclude(status=Status.DNF)
        .order_by("-done_at", "-id")[:NEWEST]
    )
    return [
        (done_at, time_ms + (PLUS_TWO_MS if status == Status.PLUS_TWO else 0))
        for done_at, time_ms, status in solves.values_list("done_at", "time_ms", "status")
        if done_at is not None
    ]


def logs_since(*, sight: ClubSight, since: datetime) -> dict[int, LogCount]:
    """The logs of the members whom a reader may see, by account; none for who never sent one."""
    counts = (
        Upload.objects.filter(member__in=sight.user_ids)
        .values("member")
        .annotate(
            last_at=Max("received_at"),
            n_solves=Sum("n_taken", filter=Q(received_at__gte=since)),
        )
    )
    return {one["member"]: LogCount(one["last_at"], one["n_solves"] or 0) for one in counts}


def joined_since(*, sight: ClubSight, since: datetime) -> list[Membership]:
    """Who joined a club since a moment and is in it, by name.

    Raises:
        NotFoundError: The reader does not coach it.
    """
    if not sight.is_coach:
        raise NotFoundError("club")
    joins = AuditEvent.objects.filter(club=sight.club_row, verb=Verb.JOIN, at__gte=since)
    members = Membership.objects.filter(club=sight.club_row, user__in=joins.values("member"))
    return list(members.exclude(user=sight.reader).order_by("display_name", "id"))


def unshared_count(*, sight: ClubSight) -> int:
    """How many in a club show their log to nobody the reader is."""
    return Membership.objects.filter(club=sight.club_row).count() - len(sight.members)
