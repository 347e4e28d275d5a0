"""Lessons: for the coaches of their club alone."""

from django.db.models import QuerySet

from clubsite.accounts.models import User
from logs.errors import NotFoundError
from logs.lessons.models import Lesson
from logs.people.models import Club
from logs.people.sight import coached_clubs, coaches


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
