"""Walls opened, turned over and closed; seats taken, and what they answer."""

from datetime import datetime
from random import SystemRandom

from django.db import transaction

from clubsite.accounts.models import User
from logs.algorithms.report import taught
from logs.algorithms.selectors import club_book_get
from logs.cases.facts import cases_by_code
from logs.errors import ConflictError, NotFoundError
from logs.lessons.report import codes_of
from logs.lessons.selectors import lesson_get
from logs.limits import WALL_CODE
from logs.people.locks import lock_club
from logs.practice.services import AskedQuestion, answer_take
from logs.solves.selectors.solves import usual_last_colour
from logs.wall.figures import evening_questions, question_of, question_row
from logs.wall.models import OPEN_FOR, Wall, WallSeat
from logs.wall.selectors import own_seats, seat_key, wall_by_code, wall_get

LETTERS = "ABCDEFGHJKLMNPRTUVWXY"
"""Of a code: read aloud and from afar; none that is taken for a figure."""


@transaction.atomic
def wall_open(*, actor: User, lesson_id: int, now: datetime) -> Wall:
    """Put a lesson on the wall, with a new code and new questions; one that hung there ends.

    Raises:
        NotFoundError: It is not of a club that ``actor`` coaches.
    """
    lesson = lesson_get(actor=actor, lesson_id=lesson_id)
    lock_club(lesson.club_id)
    walls_purge(now=now)
    Wall.objects.filter(lesson=lesson).delete()
    book = club_book_get(actor=actor, slug=lesson.club.slug)
    cases = [taught(cases_by_code()[code], book.book, book.holds) for code in codes_of(lesson)]
    rng = SystemRandom()
    held = [(cases_by_code()[case.code].id, case.angle) for case in cases]
    return Wall.objects.create(
        lesson=lesson,
        code=_new_code(rng),
        opened_at=now,
        questions=[question_row(one) for one in evening_questions(held, rng=rng)],
        colour=usual_last_colour(actor=actor),
    )


def _new_code(rng: SystemRandom) -> str:
    while True:
        code = "".join(rng.choices(LETTERS, k=WALL_CODE))
        if not Wall.objects.filter(code=code).exists():
            return code


@transaction.atomic
def wall_close(*, actor: User, lesson_id: int, now: datetime) -> None:
    """Close a wall; its seats and what they answered go with it.

    Raises:
        NotFoundError: There is none, or the lesson is not of a club that ``actor`` coaches.
    """
    wall_get(actor=actor, lesson_id=lesson_id, now=now).delete()


@transaction.atomic
def wall_show(
    *, actor: User, lesson_id: int, asked: int | None, is_told: bool, now: datetime
) -> Wall:
    """Have the phones ask what is on the wall, or tell it once it is turned over.

    Args:
        actor: Who teaches.
        lesson_id: The lesson on the wall.
        asked: Place of the question; None where none is on the wall.
        is_told: Whether it is turned over.
        now: The time.

    Raises:
        NotFoundError: There is no such wall or question, or it is not theirs.
    """
    wall = wall_get(actor=actor, lesson_id=lesson_id, now=now)
    if asked is not None and not 0 <= asked < len(wall.questions):
        raise NotFoundError("question")
    wall.asked, wall.is_told = asked, is_told and asked is not None
    wall.save(update_fields=["asked", "is_told"])
    return wall


@transaction.atomic
def seat_take(*, actor: User, code: str, now: datetime) -> Wall:
    """Join a wall by its code; who sits there already keeps their seat.

    Raises:
        NotFoundError: There is no such wall, or it is not of a club that ``actor`` is in.
    """
    wall = wall_by_code(actor=actor, code=code, now=now)
    WallSeat.objects.get_or_create(wall=wall, seat=seat_key(wall, actor))
    return wall


@transaction.atomic
def seat_answer(
    *, actor: User, code: str, place: int, answered: str, is_kept: bool, now: datetime
) -> bool:
    """Take a member's answer to what is on the wall; the first stands.

    Args:
        actor: Who answers.
        code: The wall's.
        place: Place of the question that they saw.
        answered: One of its choices.
        is_kept: Whether they want it among their practice answers too.
        now: The time.

    Returns:
        Whether it stands among their practice answers: not where their day's practice is done.

    Raises:
        NotFoundError: There is no such wall, or they have no seat at it.
        ConflictError: Another question is on the wall by now, it is turned over, or it has no such
            answer.
    """
    wall = wall_by_code(actor=actor, code=code, now=now)
    seats = WallSeat.objects.select_for_update().filter(wall=wall, seat=seat_key(wall, actor))
    seat = seats.first()
    if seat is None:
        raise NotFoundError("seat")
    if wall.asked != place or wall.is_told:
        raise ConflictError("That question is not on the wall any more.")
    row = wall.questions[place]
    if answered not in row["choices"]:
        raise ConflictError("Choose one of the answers.")
    if str(place) in seat.answers:
        return is_kept
    seat.answers[str(place)] = answered
    seat.save(update_fields=["answers"])
    if not is_kept:
        return False
    question = question_of(row)
    asked = AskedQuestion(
        key=f"wall {wall.pk} {wall.code} {place}",
        task=question.task,
        case=question.case,
        angle=question.angle,
        hold=question.hold,
        choices=question.choices,
    )
    try:
        answer_take(actor=actor, asked=asked, answered=answered, now=now)
    except ConflictError:
        return False
    return True


def walls_purge(*, now: datetime) -> None:
    """Delete the walls that ended, with what was answered."""
    Wall.objects.filter(opened_at__lte=now - OPEN_FOR).delete()


def seats_forget(*, actor: User) -> None:
    """Delete the actor's seats, which no row names as theirs."""
    WallSeat.objects.filter(pk__in=[seat.pk for seat in own_seats(actor=actor)]).delete()
