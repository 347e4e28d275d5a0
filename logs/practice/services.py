"""Answers of the practice page, taken."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from secrets import token_urlsafe
from typing import Any

from django.core.exceptions import ValidationError
from django.core.signing import BadSignature, Signer
from django.db import transaction

from clubsite.accounts.models import User
from cubecore.cases import CASES, CaseId
from cubecore.questions import Question, Task, turns_to_hold
from logs.errors import ConflictError, NotFoundError
from logs.people.locks import lock_log
from logs.people.models import MOST_PRACTICE, Club
from logs.people.sight import coached_club_get
from logs.practice.models import MAX_RECOGNITION_MS, PracticeAnswer
from logs.practice.selectors import answers_left

ANSWER_WITHIN = timedelta(hours=1)


SIDES = ("0", "1", "2", "3")


_SLACK_MS = 2_000  # the answer's way to the server, and clocks


_signer = Signer(salt="logs.practice")


@dataclass(frozen=True, slots=True)
class Given:
    """An answer as it comes in.

    Attributes:
        seal: The text of `question_seal` that came with the question.
        answered: A case's number or letters, or for a hold the quarter turns (``0``-``3``) that
            bring the chosen side to the front.
        recognition_ms: What the browser measured; None where it did not.
    """

    seal: str
    answered: str
    recognition_ms: int | None = None


def question_seal(
    *,
    actor: User,
    task: Task,
    question: Question,
    hold: int,
    now: datetime,
    is_turned: bool = False,
) -> str:
    """``question`` as text that only this site can make; it comes back with the answer.

    Args:
        actor: Who is asked.
        task: What is asked of the case.
        question: The case, its angle and the choices.
        hold: The angle from which the case's algorithm starts.
        now: When it is asked.
        is_turned: Whether a cube is scrambled for it.
    """
    return _signer.sign_object(
        {
            "member": actor.pk,
            "key": token_urlsafe(18),
            "asked_at": now.timestamp(),
            "task": task.value,
            "stage": question.case.stage.value,
            "case": str(question.case.number),
            "angle": question.angle,
            "hold": hold,
            "is_turned": is_turned,
            "choices": [str(choice.number) for choice in question.choices],
        }
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedQuestion:
    """A question as it was asked.

    Attributes:
        key: What tells it from the member's others.
        task: What was asked of the case.
        case: The case.
        angle: The angle at which it was shown.
        hold: The angle in which it is taught.
        choices: The texts of the cases to choose from; of a hold none are asked.
        is_turned: Whether a cube was scrambled for it.
    """

    key: str
    task: Task
    case: CaseId
    angle: int
    hold: int
    choices: tuple[str, ...]
    is_turned: bool = False


@transaction.atomic
def practice_answer(*, actor: User, given: Given, now: datetime) -> PracticeAnswer:
    """Take an answer; the same question answered again changes nothing.

    Raises:
        NotFoundError: The question is not one that the site asked the actor.
        ConflictError: It is too old, its answer is none of its choices, or the day's practice is
            done.
    """
    try:
        sealed: dict[str, Any] = _signer.unsign_object(given.seal)
    except BadSignature as error:
        raise NotFoundError("question") from error
    if sealed["member"] != actor.pk:
        raise NotFoundError("question")
    asked = AskedQuestion(
        key=sealed["key"],
        task=Task(sealed["task"]),
        case=CaseId.read(sealed["stage"], sealed["case"]),
        angle=sealed["angle"],
        hold=sealed["hold"],
        choices=tuple(sealed["choices"]),
        is_turned=bool(sealed.get("is_turned")),
    )
    age_ms = 1000 * (now.timestamp() - sealed["asked_at"])
    return answer_take(
        actor=actor,
        asked=asked,
        answered=given.answered,
        recognition_ms=given.recognition_ms,
        age_ms=age_ms,
        now=now,
    )


@transaction.atomic
def answer_take(
    *,
    actor: User,
    asked: AskedQuestion,
    answered: str,
    now: datetime,
    recognition_ms: int | None = None,
    age_ms: float = 0.0,
) -> PracticeAnswer:
    """Take the actor's answer to a question that the site asked them; once.

    Args:
        actor: Who answers.
        asked: The question.
        answered: As `Given.answered`.
        now: The time.
        recognition_ms: How long it took; None where nobody measured.
        age_ms: How long ago it was asked; no time longer than that is believed.

    Raises:
        ConflictError: It is too old, its answer is none of its choices, or the day's practice is
            done.
    """
    lock_log(actor.pk)
    known = PracticeAnswer.objects.filter(member=actor, question=asked.key).first()
    if known is not None:
        return known
    if age_ms > 1000 * ANSWER_WITHIN.total_seconds():
        raise ConflictError("This question was asked too long ago. Here is another.")
    if not answers_left(actor=actor, is_turned=asked.is_turned, now=now):
        raise ConflictError("That is enough practice for today. This answer does not count.")
    most_ms = min(age_ms + _SLACK_MS, MAX_RECOGNITION_MS)
    is_timed = recognition_ms is not None and 0 < recognition_ms <= most_ms
    answer = PracticeAnswer(
        member=actor,
        question=asked.key,
        at=now,
        task=asked.task.value,
        stage=asked.case.stage.value,
        case=asked.case.text,
        angle=asked.angle,
        is_turned=asked.is_turned,
        recognition_ms=recognition_ms if is_timed else None,
        **_answered(asked, answered),
    )
    answer.save()
    return answer


def _answered(asked: AskedQuestion, answered: str) -> dict[str, Any]:
    """The fields that say what was answered, and whether it was right."""
    if answered not in (asked.choices if asked.task == Task.CASE else SIDES):
        raise ConflictError("Choose one of the answers.")
    text = asked.case.text
    if asked.task == Task.CASE:
        return {"answered": answered, "is_right": answered == text}
    case = CASES[asked.case]
    right = turns_to_hold(case, asked.angle, asked.hold)
    return {
        "answered": text,
        "answered_side": int(answered),
        "is_right": int(answered) % case.n_angles == right,
    }


@transaction.atomic
def practice_cap_change(*, actor: User, slug: str, practice_cap: int) -> Club:
    """Have a club's members practise at most ``practice_cap`` drills a day.

    Raises:
        NotFoundError: There is no such club, or the actor does not coach it.
        ValidationError: The number is not from 1 to ``MOST_PRACTICE``.
    """
    club = coached_club_get(actor=actor, slug=slug)
    if not 1 <= practice_cap <= MOST_PRACTICE:
        raise ValidationError({"practice_cap": f"Give a number from 1 to {MOST_PRACTICE}."})
    club.practice_cap = practice_cap
    club.save(update_fields=["practice_cap"])
    return club
