"""When a member sits down to solve: sessions over the months, attempts within a session."""

from datetime import date, datetime, time, timedelta
from random import Random
from typing import NamedTuple
from zoneinfo import ZoneInfo

from logs.demo.members import Member

_QUIET = ((date(2026, 4, 2), date(2026, 4, 7)), (date(2026, 8, 1), date(2026, 8, 21)))
"""Holidays, in which few sessions fall."""
_STEADY_WEEKS = 8
"""The last weeks, of which none is left out."""


class Moment(NamedTuple):
    """The start of an attempt: when, in the club's zone, and whether it is a drill."""

    at: datetime
    is_drill: bool


def _weight(day: date, evening: int) -> float:
    weight = 1.8 if day.weekday() >= 5 else 1.0
    if day.weekday() == evening:
        weight *= 4
    return weight * 0.25 if _is_quiet(day) else weight


def _is_quiet(day: date) -> bool:
    return any(first <= day <= last for first, last in _QUIET)


def _session_days(member: Member, n_sessions: int, rng: Random) -> list[date]:
    """Days for the sessions, the member's last day among them, oldest first.

    One a week, mostly on the weekday of that last day, and further ones on the keenest days; where
    there are fewer sessions than weeks, the least keen weeks go without.
    """
    days = [member.since + timedelta(days=n) for n in range((member.until - member.since).days)]
    keen = {day: rng.random() ** (1 / _weight(day, member.until.weekday())) for day in days}
    keen[member.until] = 1.0
    weeks: dict[int, list[date]] = {}
    for day in keen:
        weeks.setdefault((member.until - day).days // 7, []).append(day)
    keenest = {week: max(of_week, key=keen.__getitem__) for week, of_week in weeks.items()}
    order = sorted(weeks, key=lambda week: (week >= _STEADY_WEEKS, -keen[keenest[week]]))
    firsts = [keenest[week] for week in order if not _is_quiet(keenest[week])][:n_sessions]
    others = sorted(keen.keys() - set(firsts), key=keen.__getitem__, reverse=True)
    return sorted([*firsts, *others[: n_sessions - len(firsts)]])


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
