"""What only the first page asks of the tables: newest solves, whose logs came in, who joined."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Max, Q, Sum

from clubsite.accounts.models import User
from cubecore.endings import Status
from cubecore.results import Kind
from cubecore.rows import PLUS_TWO_MS
from logs.errors import NotFoundError
from logs.home.models import CalendarFeed, DeskVisit, WeeklyLetter
from logs.homework.models import Homework
from logs.lessons.models import Lesson
from logs.people.models import COACHING_ROLES, AuditEvent, Membership, Verb
from logs.people.sight import ClubSight, Sight, coached_clubs
from logs.solves.models.solves import Sighting, Solve, Upload
from logs.solves.selectors.solves import upload_get

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


def logs_since(*, sight: ClubSight, since: datetime | None = None) -> dict[int, LogCount]:
    """The logs of the members whom a reader may see, by account; none for who never sent one."""
    new = Q() if since is None else Q(received_at__gte=since)
    counts = (
        Upload.objects.filter(member__in=sight.user_ids)
        .values("member")
        .annotate(last_at=Max("received_at"), n_solves=Sum("n_taken", filter=new))
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


def solve_ids(*, actor: User, upload_id: int) -> set[int]:
    """The solves of one of the actor's uploads, drills aside.

    Raises:
        NotFoundError: There is no such upload, or it is somebody else's.
    """
    upload = upload_get(actor=actor, upload_id=upload_id)
    return set(Solve.objects.filter(upload=upload, kind=Kind.SOLVE).values_list("pk", flat=True))


def first_one_looks(*, sight: Sight, upload_id: int) -> list[tuple[str, str]]:
    """The cases that went in one look in an upload, and before it were met but never in one look.

    Only uploads that came in before it count, so that a first is told once.
    """
    tried = Sighting.objects.filter(member=sight.member, solve__kind=Kind.SOLVE, n_looks__gt=0)
    before = tried.filter(solve__upload__lt=upload_id).values_list("stage", "case")
    in_one = set(
        tried.filter(solve__upload=upload_id, is_one_look=True).values_list("stage", "case")
    )
    met, known = set(before.distinct()), set(before.filter(is_one_look=True).distinct())
    return sorted((in_one & met) - known, key=lambda case: (case[0], case[1].zfill(3)))


def desk_visit(*, sight: ClubSight) -> DeskVisit | None:
    """The reader's last visit to the desk of a club; None for the first."""
    return DeskVisit.objects.filter(membership=sight.membership).first()


def letter_of(*, sight: ClubSight) -> WeeklyLetter | None:
    """The reader's wish for a weekly letter of a club; None while they have none."""
    return WeeklyLetter.objects.filter(membership=sight.membership).first()


def feed_of(*, actor: User) -> CalendarFeed | None:
    """The secret address of the actor's calendar; None while there is none."""
    return CalendarFeed.objects.filter(member=actor).first()


def feed_member(*, secret_hash: str) -> User:
    """Whose calendar a secret opens. Whoever has the secret may ask.

    Raises:
        NotFoundError: It opens none, or its member's account is locked.
    """
    feed = CalendarFeed.objects.select_related("member").filter(secret_hash=secret_hash).first()
    if feed is None or not feed.member.is_active:
        raise NotFoundError("calendar")
    return feed.member


def calendar_lessons(*, actor: User) -> list[Lesson]:
    """The lessons that the actor is planned for, and all of the clubs that they coach, by day."""
    clubs = Membership.objects.filter(user=actor)
    coached = clubs.filter(role__in=COACHING_ROLES).values("club")
    lessons = Lesson.objects.filter(
        Q(club__in=coached) | Q(club__in=clubs.values("club"), members__member=actor)
    )
    return list(lessons.select_related("club").order_by("on", "id").distinct())


def calendar_homework(*, actor: User) -> list[Homework]:
    """The open homework with a date that is asked of the actor, or of a club they coach, by date."""
    clubs = Membership.objects.filter(user=actor)
    coached = clubs.filter(role__in=COACHING_ROLES).values("club")
    homework = Homework.objects.filter(
        Q(club__in=coached) | Q(club__in=clubs.values("club"), assignments__member=actor),
        closed_at=None,
        due_on__isnull=False,
    )
    whole = homework.select_related("club").prefetch_related("assignments__cases")
    return list(whole.order_by("due_on", "id").distinct())


def clubs_coached(*, actor: User) -> set[int]:
    """The clubs that the actor coaches."""
    return {club.pk for club in coached_clubs(actor=actor)}
