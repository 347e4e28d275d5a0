"""How many solves members log in a week, as far as homework can be read from them."""

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import Min

from cubecore.replay import Kind
from logs.analytics.due_dates import WEEKS_READ
from logs.analytics.homework_dates import WEEK, weekly_counts
from logs.models import Club, Solve
from logs.selectors.clubs import check_sight, visible_memberships

if TYPE_CHECKING:
    from clubsite.accounts.models import User


def weekly_counts_of(
    *, actor: "User", club: Club, now: datetime, is_timed: bool = False
) -> dict[int, list[int]]:
    """The last weeks of every member of ``club`` whose log ``actor`` may read, by user.

    Only solves with a solution count, as no other tells its cases.

    Args:
        actor: Who asks.
        club: Whose members.
        now: When the last week ends.
        is_timed: Only solves with turn times, which alone tell recognition.
    """
    members = list(
        visible_memberships(actor).filter(club=club).values_list("user", flat=True).distinct()
    )
    return _weekly_counts(members, now, is_timed=is_timed)


def weekly_counts_of_member(*, actor: "User", member: "User", now: datetime) -> list[int]:
    """The last weeks of one member, as `weekly_counts_of` counts them.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    return _weekly_counts([member.pk], now)[member.pk]


def _weekly_counts(
    members: Sequence[int], now: datetime, *, is_timed: bool = False
) -> dict[int, list[int]]:
    told = Solve.objects.filter(member__in=members, kind=Kind.SOLVE, done_at__lte=now)
    if is_timed:
        told = told.exclude(turn_ms="")
    since = dict(told.values_list("member").annotate(first=Min("done_at")))
    recent = told.filter(done_at__gt=now - WEEKS_READ * WEEK).values_list("member", "done_at")
    by_member: dict[int, list[datetime]] = {member: [] for member in members}
    for member, at in recent:
        assert at is not None  # asked for above
        by_member[member].append(at)
    return {
        member: weekly_counts(days, since=since.get(member), now=now)
        for member, days in by_member.items()
    }
