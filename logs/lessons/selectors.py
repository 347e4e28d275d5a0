"""Lessons: for the coaches of their club alone. What members are missing, of those who show it."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from clubsite.accounts.models import User
from cubecore.cases import SKIP
from cubecore.results import Kind
from logs.errors import NotFoundError
from logs.lessons.models import Lesson
from logs.people.models import Club, Membership
from logs.people.sight import coached_clubs, coaches, members_visible
from logs.solves.models.solves import Sighting
from logs.solves.models.tallies import CaseTally


def _whole(lessons: QuerySet[Lesson]) -> QuerySet[Lesson]:
    return (
        lessons.select_related("club", "homework")
        .prefetch_related("cases", "members")
        .order_by("-on", "-id")
    )


def lesson_list(*, actor: User, club: Club) -> list[Lesson]:
    """The lessons of a club that ``actor`` coaches, the latest day first.

    Raises:
        NotFoundError: They do not coach it.
    """
    if not coaches(actor=actor, club_id=club.pk):
        raise NotFoundError("club")
    return list(_whole(Lesson.objects.filter(club=club)))


def lesson_get(*, actor: User, lesson_id: int) -> Lesson:
    """A lesson with its cases, members and homework.

    Raises:
        NotFoundError: There is none, or ``actor`` does not coach its club.
    """
    coached = [club.pk for club in coached_clubs(actor=actor)]
    lesson = _whole(Lesson.objects.filter(club__in=coached)).filter(pk=lesson_id).first()
    if lesson is None:
        raise NotFoundError("lesson")
    return lesson


def last_lesson(*, actor: User, club: Club) -> Lesson | None:
    """The latest lesson of a club that ``actor`` coaches, or None.

    Raises:
        NotFoundError: They do not coach it.
    """
    if not coaches(actor=actor, club_id=club.pk):
        raise NotFoundError("club")
    return _whole(Lesson.objects.filter(club=club)).first()


def attendance_list(*, club: Club) -> list[Membership]:
    """Everybody in a club that the caller coaches, by display name."""
    return list(club.memberships.select_related("user").order_by("display_name", "id"))


@dataclass(frozen=True, slots=True)
class CaseRecord:
    """A member's sightings of one case in solves.

    Attributes:
        user_id: Whose.
        code: The case.
        n_looked: Sightings with a look.
        n_one_look: Those in one look.
        recent: The newest, as `logs.solves.figures.standing` reads them.
    """

    user_id: int
    code: str
    n_looked: int
    n_one_look: int
    recent: str


def case_records(*, actor: User, club: Club, users: Collection[int]) -> list[CaseRecord]:
    """The sightings of those of ``users`` who show ``actor`` their log in ``club``."""
    visible = {member.user_id for member in members_visible(actor=actor, club=club)}
    rows = (
        CaseTally.objects.filter(member__in=visible & {*users}, kind=Kind.SOLVE)
        .exclude(case=SKIP)
        .values_list("member_id", "stage", "case", "n_looked", "n_one_look", "recent")
    )
    return [
        CaseRecord(user, f"{stage}-{case}", n_looked, n_one_look, recent)
        for user, stage, case, n_looked, n_one_look, recent in rows
    ]


@dataclass(frozen=True, slots=True)
class MetCase:
    """A case that a member met and tried.

    Attributes:
        user_id: Who.
        code: The case.
        is_one_look: Whether it went in one look.
    """

    user_id: int
    code: str
    is_one_look: bool


def met_after(*, users: Collection[int], since: datetime) -> list[MetCase]:
    """What the users met in solves after a moment; the caller may read the logs of each."""
    rows = Sighting.objects.filter(
        member__in=users, solve__kind=Kind.SOLVE, solve__done_at__gt=since, n_looks__gt=0
    ).values_list("member_id", "stage", "case", "is_one_look")
    return [MetCase(user, f"{stage}-{case}", hit) for user, stage, case, hit in rows]
