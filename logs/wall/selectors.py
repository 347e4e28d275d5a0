"""Walls: a lesson's for the coaches of its club, and by its code for whoever is in that club."""

from datetime import datetime

from django.db.models import QuerySet
from django.utils.crypto import salted_hmac

from clubsite.accounts.models import User
from logs.errors import NotFoundError
from logs.lessons.selectors import lesson_get
from logs.wall.models import OPEN_FOR, Wall, WallSeat


def walls_open(*, now: datetime) -> QuerySet[Wall]:
    """The walls that have not ended."""
    return Wall.objects.filter(opened_at__gt=now - OPEN_FOR)


def wall_of_lesson(*, actor: User, lesson_id: int, now: datetime) -> Wall | None:
    """The open wall of a lesson, or None.

    Raises:
        NotFoundError: There is no such lesson, or ``actor`` does not coach its club.
    """
    lesson = lesson_get(actor=actor, lesson_id=lesson_id)
    return walls_open(now=now).filter(lesson=lesson).first()


def wall_get(*, actor: User, lesson_id: int, now: datetime) -> Wall:
    """`wall_of_lesson` where there has to be one.

    Raises:
        NotFoundError: There is none.
    """
    wall = wall_of_lesson(actor=actor, lesson_id=lesson_id, now=now)
    if wall is None:
        raise NotFoundError("wall")
    return wall


def wall_by_code(*, actor: User, code: str, now: datetime) -> Wall:
    """The open wall of a code, for whoever is in the club whose lesson it is.

    Raises:
        NotFoundError: There is none, it has ended, or it is another club's.
    """
    walls = walls_open(now=now).filter(lesson__club__memberships__user=actor)
    wall = walls.select_related("lesson__club").filter(code=code.strip().upper()).first()
    if wall is None or not actor.is_active:
        raise NotFoundError("wall")
    return wall


def seat_key(wall: Wall, member: User) -> str:
    """A member's seat at a wall: the same each time, and nothing tells from it whose it is."""
    return salted_hmac(
        "logs.wall", f"{wall.pk} {wall.code} {member.pk}", algorithm="sha256"
    ).hexdigest()


def seat_of(*, wall: Wall, actor: User) -> WallSeat | None:
    """The actor's seat at a wall that they found, or None before they join."""
    return WallSeat.objects.filter(wall=wall, seat=seat_key(wall, actor)).first()


def seat_list(*, wall: Wall) -> list[WallSeat]:
    """The seats at a wall that the caller found."""
    return list(WallSeat.objects.filter(wall=wall))


def own_seats(*, actor: User) -> list[WallSeat]:
    """The actor's seats at walls that stand in their clubs, the wall opened first first."""
    walls = Wall.objects.filter(lesson__club__memberships__user=actor).order_by("opened_at", "pk")
    keys = [seat_key(wall, actor) for wall in walls]
    seats = WallSeat.objects.filter(seat__in=keys).select_related("wall__lesson__club")
    return list(seats.order_by("wall__opened_at", "pk"))
