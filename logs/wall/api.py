"""A lesson on the wall for programs: a clicker of one's own, or another phone."""

from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from cubecore.cases import CASES
from cubecore.questions import Task
from logs.cases.report import CaseName, SideSight, name_of, side_sights
from logs.http.api import CREATED, EMPTY, MANAGE, UPLOAD, ApiView, Values, answers
from logs.http.pages import MAX_NUMBER, Sent, actor_of
from logs.people.sight import ClubName
from logs.practice.report.question import top_stickers
from logs.solves.report.steps import Colour
from logs.wall.report import PhoneReport, RoomCounts, phone_report, room_counts
from logs.wall.services import seat_answer, seat_take, wall_close, wall_open, wall_show


@dataclass(frozen=True, slots=True)
class OpenWall:
    """A lesson that was put on the wall.

    Attributes:
        code: What members join by.
        opened_at: When; it ends six hours later.
        n_questions: Questions, of holds and of the round at the end.
    """

    code: str
    opened_at: datetime
    n_questions: int


@dataclass(frozen=True, slots=True)
class RoomQuestion:
    """What the room is asked.

    Attributes:
        asked: Place of the question, from 0.
        task: Whether the case is to be told, or how it is held.
        case: The case; null where it is what is asked, until that is told.
        top: Whether each sticker on top has the last layer's colour, row by row, the back row first.
        sides: What the sides show.
        choices: What may be answered: numbers or letters of cases; or for a hold the clockwise
            quarter turns of the layer that lead to it.
        right: What was right; null until it is told.
        answered: What the actor answered; null without.
    """

    asked: int
    task: Task
    case: CaseName | None
    top: tuple[bool, ...]
    sides: tuple[SideSight, ...]
    choices: tuple[str, ...]
    right: str | None
    answered: str | None


@dataclass(frozen=True, slots=True)
class Seat:
    """The wall as somebody in front of it has it.

    Attributes:
        code: The wall's.
        club: The club.
        title: The lesson's name.
        is_seated: Whether the actor has joined.
        colour: The last layer's.
        is_told: Whether the question is turned over.
        question: What is asked; null for nothing.
    """

    code: str
    club: ClubName
    title: str
    is_seated: bool
    colour: Colour
    is_told: bool
    question: RoomQuestion | None


@dataclass(frozen=True, slots=True)
class TakenAnswer:
    """An answer that was taken.

    Attributes:
        is_in_practice: Whether it is among the actor's practice answers.
    """

    is_in_practice: bool


class SentWallState(Sent):
    """What is on the wall."""

    asked = serializers.IntegerField(
        min_value=0,
        max_value=MAX_NUMBER,
        allow_null=True,
        help_text="Place of the question, from 0; null for none.",
    )
    is_told = serializers.BooleanField(default=False, help_text="Whether it is turned over.")


class SentSeatAnswer(Sent):
    """An answer to what is on the wall."""

    asked = serializers.IntegerField(
        min_value=0, max_value=MAX_NUMBER, help_text="Place of the question that was seen."
    )
    answer = serializers.CharField(max_length=10, help_text="One of its choices.")
    is_kept = serializers.BooleanField(
        default=False, help_text="Whether it is a practice answer too."
    )


class LessonWall(ApiView):
    """A lesson on the wall."""

    @answers(RoomCounts)
    def get(self, request: Request, lesson_id: int) -> RoomCounts:
        """What the room answered to the question on the wall; nobody is named."""
        return room_counts(actor=actor_of(request), lesson_id=lesson_id, now=timezone.now())

    @answers(OpenWall, scope=MANAGE, status=CREATED)
    def post(self, request: Request, lesson_id: int) -> OpenWall:
        """Put a lesson on the wall, with a new code and new questions; one that hung there ends."""
        wall = wall_open(actor=actor_of(request), lesson_id=lesson_id, now=timezone.now())
        return OpenWall(wall.code, wall.opened_at, len(wall.questions))

    @answers(RoomCounts, scope=MANAGE, body=SentWallState)
    def put(self, request: Request, lesson_id: int, sent: Values) -> RoomCounts:
        """Ask a question, or turn it over."""
        actor, now = actor_of(request), timezone.now()
        wall_show(actor=actor, lesson_id=lesson_id, now=now, **sent)
        return room_counts(actor=actor, lesson_id=lesson_id, now=now)

    @answers(None, scope=MANAGE, status=EMPTY)
    def delete(self, request: Request, lesson_id: int) -> None:
        """Close the wall; what was answered there is deleted."""
        wall_close(actor=actor_of(request), lesson_id=lesson_id, now=timezone.now())


class WallSeat(ApiView):
    """A seat in front of a wall."""

    @answers(Seat)
    def get(self, request: Request, code: str) -> Seat:
        """What is on the wall."""
        return _seat(phone_report(actor=actor_of(request), code=code, now=timezone.now()))

    @answers(Seat, scope=UPLOAD, status=CREATED)
    def post(self, request: Request, code: str) -> Seat:
        """Join; who has a seat keeps it."""
        actor, now = actor_of(request), timezone.now()
        seat_take(actor=actor, code=code, now=now)
        return _seat(phone_report(actor=actor, code=code, now=now))


class SeatAnswers(ApiView):
    """Answers from a seat."""

    @answers(TakenAnswer, scope=UPLOAD, body=SentSeatAnswer, status=CREATED)
    def post(self, request: Request, code: str, sent: Values) -> TakenAnswer:
        """Answer what is on the wall; the first answer stands."""
        is_in_practice = seat_answer(
            actor=actor_of(request),
            code=code,
            place=sent["asked"],
            answered=sent["answer"],
            is_kept=sent["is_kept"],
            now=timezone.now(),
        )
        return TakenAnswer(is_in_practice)


def _seat(phone: PhoneReport) -> Seat:
    question = None
    if phone.question is not None and phone.asked is not None:
        asked = phone.question
        case = CASES[asked.case]
        is_open = asked.task is Task.CASE and not phone.is_told
        question = RoomQuestion(
            asked=phone.asked,
            task=asked.task,
            case=None if is_open else name_of(asked.case),
            top=top_stickers(case, asked.angle),
            sides=side_sights(case, asked.angle),
            choices=asked.choices,
            right=asked.right if phone.is_told else None,
            answered=phone.answered,
        )
    return Seat(
        code=phone.code,
        club=phone.club,
        title=phone.title,
        is_seated=phone.is_seated,
        colour=phone.colour,
        is_told=phone.is_told,
        question=question,
    )
