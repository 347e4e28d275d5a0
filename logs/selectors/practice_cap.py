"""How much practice a day a member's coaches want at most, and how much of it is done."""

from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from cubecore.replay import Kind
from logs.models import MOST_PRACTICE, PRACTICE_CAP, Club, Solve

if TYPE_CHECKING:
    from clubsite.accounts.models import User

HIGHEST_CAP = MOST_PRACTICE


def practice_cap(*, actor: "User") -> int:
    """The most drills a day for ``actor``: the least that any of their clubs has, 30 without one."""
    caps = Club.objects.filter(memberships__user=actor).values_list("practice_cap", flat=True)
    return min(caps, default=PRACTICE_CAP)


def day_span(*, actor: "User", now: datetime) -> tuple[datetime, datetime]:
    """Begin and end of the actor's day: midnights of their club's zone, UTC without a club."""
    clubs = Club.objects.filter(memberships__user=actor).order_by("name", "id")
    zone = ZoneInfo(clubs.values_list("time_zone", flat=True).first() or "UTC")
    today = now.astimezone(zone).replace(hour=0, minute=0, second=0, microsecond=0)
    return today, today + timedelta(days=1)


def drills_today(*, actor: "User", now: datetime) -> int:
    """How many drills of the actor's log were done on the day of ``now``."""
    begin, end = day_span(actor=actor, now=now)
    drills = Solve.objects.filter(member=actor, kind=Kind.DRILL)
    return drills.filter(done_at__gte=begin, done_at__lt=end).count()
