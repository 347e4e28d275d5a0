"""A lesson as it stands on the wall, what phones are asked, and what the room answered."""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime
from random import Random

from clubsite.accounts.models import User
from cubecore.cases import Case, CaseId
from cubecore.parting import parting
from cubecore.questions import Task, alike_cases
from logs.algorithms.report import AlgorithmFacts, TaughtCase, algorithm_facts, taught
from logs.algorithms.selectors import club_book_get
from logs.cases.facts import cases_by_code
from logs.cases.report import CaseName, name_of
from logs.lessons.report import codes_of
from logs.lessons.selectors import lesson_get
from logs.people.sight import ClubName
from logs.solves.report.steps import Colour
from logs.solves.selectors.solves import usual_last_colour
from logs.wall.figures import WallQuestion, evening_questions, question_of
from logs.wall.models import Wall, WallSeat
from logs.wall.selectors import (
    seat_list,
    seat_of,
    wall_by_code,
    wall_get,
    wall_of_lesson,
)

MOST_ALIKE = 2
"""Look-alikes of a case that are held beside it, the most alike."""


@dataclass(frozen=True, slots=True)
class WallCase:
    """A case of the evening.

    Attributes:
        place: Its place, 1 being first.
        case: The case as the club's book teaches it.
        words: What the coach says of it; empty without.
        facts: The algorithm that is taught.
        look_alikes: What it is taken for most easily in its hold.
        question: Place of the question how it is held; null where every hold is right.
    """

    place: int
    case: TaughtCase
    words: str
    facts: AlgorithmFacts
    look_alikes: tuple[CaseName, ...]
    question: int | None


@dataclass(frozen=True, slots=True)
class WallReport:
    """A lesson on the wall.

    Attributes:
        lesson_id: The lesson's number.
        title: Its name.
        club: The club.
        code: What phones join by; empty while they cannot.
        colour: The last layer's.
        cases: The evening's cases.
        questions: All that is asked: holds, then the round at the end.
    """

    lesson_id: int
    title: str
    club: ClubName
    code: str
    colour: Colour
    cases: tuple[WallCase, ...]
    questions: tuple[WallQuestion, ...]

    @property
    def first_of_round(self) -> int:
        """Place of the first question of the round at the end."""
        return sum(question.task is Task.HOLD for question in self.questions)


@dataclass(frozen=True, slots=True)
class ChoiceCount:
    """How many gave one answer.

    Attributes:
        value: The answer.
        n: How many; 0 until the question is turned over.
    """

    value: str
    n: int


@dataclass(frozen=True, slots=True)
class RoomCounts:
    """What the room answered to the question on the wall; nobody is named.

    Attributes:
        n_seats: Phones that joined.
        asked: Place of the question, from 0; null for none.
        is_told: Whether it is turned over.
        n_answered: Answers to it.
        choices: How many took it for what.
    """

    n_seats: int
    asked: int | None
    is_told: bool
    n_answered: int
    choices: tuple[ChoiceCount, ...]


@dataclass(frozen=True, slots=True)
class PhoneReport:
    """The wall as a member's phone has it.

    Attributes:
        code: The wall's.
        club: The club.
        title: The lesson's name.
        is_seated: Whether the member has joined.
        asked: Place of the question, from 0; null for none.
        question: The question; null for none.
        is_told: Whether it is turned over.
        answered: What the member answered; null without.
        colour: The last layer's, as on the wall.
        version: Changes with anything that the phone shows.
    """

    code: str
    club: ClubName
    title: str
    is_seated: bool
    asked: int | None
    question: WallQuestion | None
    is_told: bool
    answered: str | None
    colour: Colour
    version: str


def wall_report(*, actor: User, lesson_id: int, now: datetime) -> WallReport:
    """A lesson as it stands on the wall.

    Without an open wall its questions are the same each time, and no phone answers them.

    Raises:
        NotFoundError: There is no such lesson, or the actor does not coach its club.
    """
    lesson = lesson_get(actor=actor, lesson_id=lesson_id)
    wall = wall_of_lesson(actor=actor, lesson_id=lesson_id, now=now)
    book = club_book_get(actor=actor, slug=lesson.club.slug)
    named = [cases_by_code()[code] for code in codes_of(lesson)]
    lines = [taught(case, book.book, book.holds) for case in named]
    if wall is None:
        held = [(case.id, line.angle) for case, line in zip(named, lines, strict=True)]
        rng = Random(f"lesson {lesson_id}")  # noqa: S311 - drawn again alike, no secret
        questions = evening_questions(held, rng=rng)
    else:
        questions = tuple(map(question_of, wall.questions))
    asked = {one.case: n for n, one in enumerate(questions) if one.task is Task.HOLD}
    return WallReport(
        lesson_id=lesson.pk,
        title=lesson.title,
        club=ClubName(lesson.club.name, lesson.club.slug),
        code="" if wall is None else wall.code,
        colour=Colour(usual_last_colour(actor=actor) if wall is None else wall.colour),
        cases=tuple(
            WallCase(
                place=place,
                case=line,
                words=book.words.get(case.id, ""),
                facts=algorithm_facts(line.algorithm, book.triggers),
                look_alikes=_look_alikes(case, line.angle),
                question=asked.get(case.id),
            )
            for place, (case, line) in enumerate(zip(named, lines, strict=True), start=1)
        ),
        questions=questions,
    )


def _look_alikes(case: Case, angle: int) -> tuple[CaseName, ...]:
    def apart(other: CaseId) -> int:
        return parting(case.id, angle, other).n_differences

    return tuple(name_of(one) for one in sorted(alike_cases(case, angle), key=apart)[:MOST_ALIKE])


def room_counts(*, actor: User, lesson_id: int, now: datetime) -> RoomCounts:
    """How many answered the question on the wall, and, once it is turned over, what.

    Raises:
        NotFoundError: The lesson is not on the wall, or not the actor's to teach.
    """
    wall = wall_get(actor=actor, lesson_id=lesson_id, now=now)
    seats = seat_list(wall=wall)
    given = Counter(
        seat.answers[str(wall.asked)] for seat in seats if str(wall.asked) in seat.answers
    )
    question = _asked(wall)
    return RoomCounts(
        n_seats=len(seats),
        asked=wall.asked,
        is_told=wall.is_told,
        n_answered=given.total(),
        choices=tuple(
            ChoiceCount(value, given[value] if wall.is_told else 0)
            for value in (question.choices if question else ())
        ),
    )


def phone_report(*, actor: User, code: str, now: datetime) -> PhoneReport:
    """The wall as the actor's phone has it.

    Raises:
        NotFoundError: There is no such wall, or it is not of a club that the actor is in.
    """
    wall = wall_by_code(actor=actor, code=code, now=now)
    seat = seat_of(wall=wall, actor=actor)
    return PhoneReport(
        code=wall.code,
        club=ClubName(wall.lesson.club.name, wall.lesson.club.slug),
        title=wall.lesson.title,
        is_seated=seat is not None,
        asked=wall.asked,
        question=_asked(wall),
        is_told=wall.is_told,
        answered=None if seat is None else seat.answers.get(str(wall.asked)),
        colour=Colour(wall.colour),
        version=_version(wall, seat),
    )


def _asked(wall: Wall) -> WallQuestion | None:
    return None if wall.asked is None else question_of(wall.questions[wall.asked])


def phone_version(*, actor: User, code: str, now: datetime) -> str:
    """Changes with anything that the actor's phone shows.

    Raises:
        NotFoundError: There is no such wall, or it is not of a club that the actor is in.
    """
    wall = wall_by_code(actor=actor, code=code, now=now)
    return _version(wall, seat_of(wall=wall, actor=actor))


def _version(wall: Wall, seat: WallSeat | None) -> str:
    answered = None if seat is None else seat.answers.get(str(wall.asked))
    return f"{wall.code}.{seat is not None:d}.{wall.asked}.{wall.is_told:d}.{answered}"
