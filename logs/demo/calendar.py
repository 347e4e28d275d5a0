"""When a member sits down to solve: sessions over the months, attempts within a session."""

from datetime import date, datetime, time, timedelta
from random import Random
from typing import NamedTuple
from zoneinfo import ZoneInfo

from logs.demo.members import Member

_QUIET = ((date(2026, 4, 2), date(2026, 4, 7)), (date(2026, 8, 1), date(2026, 8, 21)))
"""Holidays, in which few sessions fall."""


class Moment(NamedTuple):
    """The start of an attempt: when, in the club's zone, and whether it is a drill."""

    at: datetime
    is_drill: bool


def _weight(day: date) -> float:
    weight = 1.8 if day.weekday() >= 5 else 1.0
    if any(first <= day <= last for first, last in _QUIET):
        weight *= 0.25
    return weight


def _session_days(member: Member, n_sessions: int, rng: Random) -> list[date]:
    """Days for the sessions, the member's last day among them, oldest first."""
    length = (member.until - member.since).days
    days = [member.since + timedelta(days=n) for n in range(length)]
    drawn = sorted(days, key=lambda day: rng.random() ** (1 / _weight(day)), reverse=True)
    return [*sorted(drawn[: n_sessions - 1]), member.until]


def schedule(member: Member, zone: str, rng: Random) -> list[Moment]:
    """The start of each of the member's attempts, oldest first."""
    sizes: list[int] = []
    while sum(sizes) < member.solves:
        sizes.append(min(rng.randint(5, 24), member.solves - sum(sizes)))
    moments = []
    for day, size in zip(_session_days(member, len(sizes), rng), sizes, strict=True):
        start = time(rng.randint(16, 21), rng.randrange(60), rng.randrange(60))
        at = datetime.combine(day, start, ZoneInfo(zone))
        is_drill = rng.random() < member.drills
        for _ in range(size):
            moments.append(Moment(at, is_drill))
            at += timedelta(seconds=rng.randint(45, 130))
    return moments
