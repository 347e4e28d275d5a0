"""Homework as a coach of the club sees it, and as the member it was set for does."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import reduce
from operator import or_

from django.db.models import F, Min, Q, QuerySet
from django.db.models.fields.json import KT

from clubsite.accounts.models import User
from cubecore.replay import Kind
from logs.errors import NotFoundError
from logs.homework.due_dates import WEEKS_READ
from logs.homework.figures import WEEK, Meeting, weekly_counts
from logs.homework.models import Assignment, Homework
from logs.people.models import Club, Membership
from logs.people.sight import check_sight, coached_clubs, coaches, visible_memberships
from logs.solves.models.solves import Sighting, Solve

TRUE = "true"
"""A true value inside JSON, as text: SQLite and PostgreSQL write it alike."""


CaseName = tuple[str, str]
"""Stage and number or letters, as the tables hold them."""


def _whole(homework: QuerySet[Homework]) -> QuerySet[Homework]:
    """``homework`` with all that its pages read, the newest first."""
    return (
        homework.select_related("club", "set_by", "closed_by", "lesson")
        .prefetch_related("cases", "assignments__excuses")
        .order_by("-set_at", "-id")
    )


def homework_list(*, actor: User, club: Club) -> list[Homework]:
    """All homework of a club that ``actor`` coaches, the newest first.

    Raises:
        NotFoundError: They do not coach it.
    """
    if not coaches(actor=actor, club_id=club.pk):
        raise NotFoundError("club")
    return list(_whole(Homework.objects.filter(club=club)))


def homework_asked(*, actor: User) -> list[Homework]:
    """What is asked of ``actor`` in the clubs they are in, the newest first."""
    if not actor.is_active:
        return []
    asked = Homework.objects.filter(
        assignments__member=actor, club__in=Membership.objects.filter(user=actor).values("club")
    )
    return list(_whole(asked))


def homework_of(*, actor: User, member: User) -> list[Homework]:
    """What is asked of ``member``, the newest first: all for themselves, for a coach their clubs'.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    if actor.pk == member.pk:
        return homework_asked(actor=actor)
    coached = [club.pk for club in coached_clubs(actor=actor)]
    return list(_whole(Homework.objects.filter(assignments__member=member, club__in=coached)))


def homework_get(*, actor: User, homework_id: int) -> Homework:
    """A homework that ``actor`` may see: as a coach of its club, or as one it was set for.

    Raises:
        NotFoundError: There is none, or it is not theirs to see.
    """
    if not actor.is_active:
        raise NotFoundError("homework")
    own = Membership.objects.filter(user=actor).values("club")
    coached = [club.pk for club in coached_clubs(actor=actor)]
    shown = Q(club__in=coached) | Q(
        pk__in=Assignment.objects.filter(member=actor).values("homework"), club__in=own
    )
    found = _whole(Homework.objects.filter(shown)).filter(pk=homework_id).first()
    if found is None:
        raise NotFoundError("homework")
    return found


def homework_coached_get(*, actor: User, homework_id: int) -> Homework:
    """A homework of a club that ``actor`` coaches.

    Raises:
        NotFoundError: There is none, or they do not coach its club.
    """
    found = homework_get(actor=actor, homework_id=homework_id)
    if not coaches(actor=actor, club_id=found.club_id):
        raise NotFoundError("homework")
    return found


def memberships_shown(*, actor: User, homework: Sequence[Homework]) -> list[Membership]:
    """Members whose homework ``actor`` may see, by display name, each in the homework's clubs.

    A member who hides their log from coaches is not among them.
    """
    shown = visible_memberships(actor).filter(
        club__in={one.club_id for one in homework},
        user__in={a.member_id for one in homework for a in one.assignments.all()},
    )
    return list(shown.select_related("user").order_by("display_name", "id").distinct())


@dataclass(frozen=True, slots=True)
class MetSince:
    """A sighting of a case that some homework asks for."""

    member_id: int
    case: CaseName
    is_drill: bool
    meeting: Meeting


def met_since(*, homework: Sequence[Homework], members: Sequence[Membership]) -> list[MetSince]:
    """The members' dated sightings of the homework's cases since the oldest of it was set.

    Args:
        homework: With its cases.
        members: As from `memberships_shown`, or the actor's own: whoever asks may read their logs.
    """
    names = {(case.stage, case.case) for one in homework for case in one.cases.all()}
    if not names or not members:
        return []
    rows = (
        Sighting.objects.filter(
            reduce(or_, (Q(stage=stage, case=case) for stage, case in sorted(names))),
            member__in={membership.user_id for membership in members},
            solve__done_at__gt=min(one.set_at for one in homework),
        )
        .annotate(is_of_book=KT("looks__0__known"))
        .order_by(F("solve__done_at"), "solve")
        .values(
            "member_id",
            "stage",
            "case",
            "solve__kind",
            "solve_id",
            "solve__done_at",
            "n_looks",
            "is_one_look",
            "is_of_book",
            "recognition_ms",
        )
    )
    return [
        MetSince(
            row["member_id"],
            (row["stage"], row["case"]),
            row["solve__kind"] == Kind.DRILL,
            Meeting(
                row["solve_id"],
                _dated(row["solve__done_at"]),
                row["n_looks"],
                row["is_one_look"] and row["is_of_book"] == TRUE,
                row["recognition_ms"],
            ),
        )
        for row in rows
    ]


def _dated(at: datetime | None) -> datetime:
    assert at is not None  # only dated solves are asked for
    return at


def in_span(homework: Homework, at: datetime) -> bool:
    """Whether a solve of that moment counts for the homework: after it was set, until it closed."""
    return at > homework.set_at and (homework.closed_at is None or at <= homework.closed_at)


def weekly_counts_of(
    *, actor: User, club: Club, now: datetime, is_timed: bool = False
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


def weekly_counts_of_member(*, actor: User, member: User, now: datetime) -> list[int]:
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
