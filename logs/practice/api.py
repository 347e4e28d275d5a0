"""Practice: a question at a time, and what the answer was.

What addresses may ask for; what they ask wrongly is refused, with the name of the field.
"""

from dataclasses import dataclass
from random import SystemRandom
from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from cubecore.cases import Stage
from cubecore.questions import Task
from cubecore.turns import Face
from logs.cases.facts import cases_by_code, code_of
from logs.cases.report import CaseName, SideSight
from logs.errors import ConflictError, NotFoundError
from logs.http.api import CREATED, MANAGE, THERE_BEFORE, UPLOAD, ApiView, Reply, answers
from logs.http.pages import MAX_NUMBER, Items, actor_of, choice
from logs.people.models import MOST_PRACTICE
from logs.practice.report.drills import (
    MOST_SEED,
    USUAL_NUMBER,
    Ask,
    DrillDay,
    DrillHold,
    DrillLine,
    drill_day,
    drill_log,
    drill_sheet,
    settled,
)
from logs.practice.report.practice import (
    ABOVE,
    VIEWS,
    Choice,
    Day,
    Pool,
    PoolKind,
    PracticeLine,
    day_of,
    pool_codes,
    practice_start,
)
from logs.practice.report.question import (
    Answer,
    Answered,
    PracticeQuestion,
    SeenFaces,
    answered_report,
    practice_question,
)
from logs.practice.services import Given, practice_answer, practice_cap_change
from logs.solves.report.steps import Colour


def pool_choice(words: str) -> serializers.ChoiceField:
    """What to practise or to drill: homework, a set or family, or a case."""
    return choice(["", *pool_codes()], "", words)


LARGEST_SEED = 10**9 - 1
"""Nine digits, as the pages read."""


@dataclass(frozen=True, slots=True)
class DrillsAsk:
    """What to ask for to be dealt the same again, as long as the book's algorithms are the same.

    Attributes:
        case: Codes of the cases named.
        what: Code of a set where no case is named; else empty.
        mix: Whether what looks like the named cases is dealt in too.
        n: How many drills.
        last: Colour of the last layer.
        seed: What they are drawn by.
    """

    case: tuple[str, ...]
    what: str
    mix: bool
    n: int
    last: str
    seed: int


@dataclass(frozen=True, slots=True)
class Drills:
    """Drills as they were dealt.

    Attributes:
        ask: What deals them again: homework's cases named, no more than the most a day.
        n_cases: How many cases there are to deal.
        drills: The scrambles, each with the case it leads to.
        day: How much of the day's drills is done.
        log: The drills as a log to fill in and to send as an upload, CSV.
    """

    ask: DrillsAsk
    n_cases: int
    drills: tuple[DrillLine, ...]
    day: DrillDay
    log: str


@dataclass(frozen=True, slots=True)
class PracticeCap:
    """What coaches want a member to do in a day at most.

    Attributes:
        practice_cap: The most drills; answers on the practice page three times as many.
    """

    practice_cap: int


class DrillsQuery(serializers.Serializer[Any]):
    """What drills are asked for."""

    case = Items(
        child=serializers.ChoiceField(list(cases_by_code())),
        default=list,
        max_length=len(cases_by_code()),
        help_text="Cases such as oll-27.",
    )
    what = pool_choice(
        "Where no case is named: homework, a set or family, or a case and what looks like it."
    )
    mix = serializers.BooleanField(
        default=False, help_text="Whether what looks like the named cases is dealt in too."
    )
    n = serializers.IntegerField(
        min_value=1,
        max_value=MOST_PRACTICE,
        default=USUAL_NUMBER,
        help_text="How many; brought down to the most a day.",
    )
    last = choice(
        ["", *(face.colour for face in Face)], "", "Colour of the last layer; yours without it."
    )
    seed = serializers.IntegerField(
        min_value=1,
        max_value=LARGEST_SEED,
        default=None,
        help_text="To make the same drills again.",
    )


class SentPracticeCap(serializers.Serializer[Any]):
    """The most practice a day."""

    practice_cap = serializers.IntegerField(
        min_value=1,
        max_value=MOST_PRACTICE,
        help_text="The most drills; answers three times as many.",
    )


class Dealing(ApiView):
    """Drills to do at home."""

    @answers(Drills, query=DrillsQuery)
    def get(self, request: Request, query: dict[str, Any]) -> Drills:
        """Scrambles that lead straight to a case, up to the most that a day may have."""
        actor = actor_of(request)
        asked = Ask(
            codes=tuple(query["case"]),
            what=query["what"],
            is_mixed=query["mix"],
            n=query["n"],
            last=query["last"],
        )
        seed = query["seed"] or SystemRandom().randint(1, MOST_SEED)
        ask = settled(actor=actor, ask=asked, seed=seed)
        sheet = drill_sheet(actor=actor, ask=ask)
        return Drills(
            ask=DrillsAsk(ask.codes, ask.what, ask.is_mixed, ask.n, ask.last, ask.seed),
            n_cases=sheet.n_cases,
            drills=sheet.drills,
            day=drill_day(actor=actor, now=timezone.now()),
            log=drill_log(sheet),
        )


class Capping(ApiView):
    """The most practice a day."""

    @answers(PracticeCap, scope=MANAGE, body=SentPracticeCap)
    def post(self, request: Request, slug: str, sent: dict[str, Any]) -> PracticeCap:
        """Have the club's members practise at most so much a day."""
        club = practice_cap_change(actor=actor_of(request), slug=slug, **sent)
        return PracticeCap(club.practice_cap)


DAY_DONE = 409


WRONG_SEAL = (
    "This question was not asked of you: ask /api/v1/practice/question for one,"
    " and send its seal back as it came."
)


@dataclass(frozen=True, slots=True)
class Practisable:
    """What can be practised.

    Attributes:
        code: Asks for it.
        kind: What its cases have in common.
        stage: The stage of its first case.
        family: Name of their family; empty where they are of several.
        cases: Codes of its cases.
    """

    code: str
    kind: PoolKind
    stage: Stage
    family: str
    cases: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Practice:
    """What there is to practise, and how it went lately.

    Attributes:
        day: How much of today's is done.
        pools: What there is to practise, homework first if there is any.
        told: How each case was told lately.
        held: How each case was held lately.
        n_days: How many days back that goes.
    """

    day: Day
    pools: tuple[Practisable, ...]
    told: tuple[PracticeLine, ...]
    held: tuple[PracticeLine, ...]
    n_days: int


@dataclass(frozen=True, slots=True)
class Asked:
    """A question.

    Attributes:
        day: How much of today's practice is done.
        pool: What is practised.
        task: Whether the case is to be told, or the side that has to face the solver.
        case: Of the second, the case; null where it is what is asked.
        colour: Colour of the last layer.
        top: Whether each sticker on top has that colour, row by row, the back row first; empty
            where a scramble stands for the case.
        sides: What the sides show that can be seen; the same.
        cube: The cube in the hand; null where it is seen from above, or scrambled.
        scramble: Turns that lead to the case, made white up and green in front; or empty.
        hold: How to hold the cube after it; null where there is none.
        answers: What there is to choose from.
        seal: Comes back with the answer, within an hour.
    """

    day: Day
    pool: Practisable
    task: Task
    case: CaseName | None
    colour: Colour
    top: tuple[bool, ...]
    sides: tuple[SideSight, ...]
    cube: SeenFaces | None
    scramble: str
    hold: DrillHold | None
    answers: tuple[Answer, ...]
    seal: str


@dataclass(frozen=True, slots=True)
class Judged:
    """An answer that was taken.

    Attributes:
        id: Names it in addresses.
        answered: What it was.
        day: How much of today's practice is done.
    """

    id: int
    answered: Answered
    day: Day


class QuestionQuery(serializers.Serializer[Any]):
    """What to practise."""

    what = pool_choice("Homework, a set or family, or a case and what looks like it.")
    task = choice(Task, Task.CASE, "Whether to tell the case, or to say how it is held.")
    view = choice(VIEWS, ABOVE, "From above, as a cube, or as a scramble for a cube in hand.")
    last = serializers.IntegerField(
        min_value=0,
        max_value=MAX_NUMBER,
        default=None,
        help_text="Your answer before: a case that was right is not asked again at once.",
    )


class SentAnswer(serializers.Serializer[Any]):
    """An answer to a question."""

    seal = serializers.CharField(max_length=4000, help_text="As it came with the question.")
    answer = serializers.CharField(max_length=10, help_text="The value of one of its answers.")
    recognition_ms = serializers.IntegerField(
        min_value=1,
        max_value=MAX_NUMBER,
        default=None,
        help_text="How long it took; passed over where it is longer than the question is old.",
    )


class Start(ApiView):
    """Practice."""

    @answers(Practice)
    def get(self, request: Request) -> Practice:
        """What there is to practise, and how it went lately."""
        start = practice_start(actor=actor_of(request), choice=Choice(), now=timezone.now())
        pools = tuple(map(_practisable, start.pools))
        return Practice(start.day, pools, start.told, start.held, start.n_days)


class Question(ApiView):
    """A question of practice."""

    @answers(Asked, query=QuestionQuery, refused=(DAY_DONE,))
    def get(self, request: Request, query: dict[str, Any]) -> Asked:
        """The next question, without the name of its case; none once the day's practice is done."""
        last = query.pop("last")
        question = _question(request, Choice(**query), last)
        if isinstance(question, Answered):  # it was wrong, and its program was told so
            question = _question(request, Choice(**query), None)
        if not isinstance(question, PracticeQuestion):
            raise ConflictError("That is enough practice for today. Go on tomorrow.")
        return Asked(
            day=question.day,
            pool=_practisable(question.pool),
            task=question.task,
            case=question.case,
            colour=question.colour,
            top=question.top,
            sides=question.sides,
            cube=question.cube,
            scramble=question.scramble,
            hold=question.hold,
            answers=question.answers,
            seal=question.seal,
        )


class Answers(ApiView):
    """Answers of practice."""

    @answers(Judged, scope=UPLOAD, body=SentAnswer, status=CREATED, also=THERE_BEFORE)
    def post(self, request: Request, sent: dict[str, Any]) -> Reply:
        """Answer a question; it counts once, whatever is sent again."""
        actor, now = actor_of(request), timezone.now()
        given = Given(sent["seal"], sent["answer"], sent["recognition_ms"])
        try:
            taken = practice_answer(actor=actor, given=given, now=now)
        except NotFoundError as error:
            raise ValidationError({"seal": WRONG_SEAL}) from error
        answered = answered_report(actor=actor, answer_id=taken.pk)
        judged = Judged(taken.pk, answered, day_of(actor, now))
        return Reply(judged, CREATED if taken.at == now else THERE_BEFORE)


def _question(
    request: Request, chosen: Choice, last: int | None
) -> PracticeQuestion | Answered | Day:
    return practice_question(
        actor=actor_of(request), choice=chosen, last=last, rng=SystemRandom(), now=timezone.now()
    )


def _practisable(pool: Pool) -> Practisable:
    return Practisable(
        code=pool.code,
        kind=pool.kind,
        stage=pool.cases[0].stage,
        family=pool.family,
        cases=tuple(map(code_of, pool.cases)),
    )
