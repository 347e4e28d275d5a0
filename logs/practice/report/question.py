"""A question of the practice page, and what an answer was.

What was taken for what in practice: kept apart from solves, and marked as practice.
"""

from collections import Counter
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from datetime import datetime
from random import Random
from typing import Any

import pandas as pd

from clubsite.accounts.models import User
from cubecore.cases import CASES, Case, CaseId, Stage
from cubecore.cue_words import clue_sentences, cue_sentence, shape_words
from cubecore.cues import cue_of, cue_stickers
from cubecore.pictures import case_drawing, case_picture, cube_picture
from cubecore.questions import (
    SIDE_BROUGHT,
    Question,
    Task,
    choices_for,
    draw_question,
    position_showing,
    shown_colours,
    turns_to_hold,
)
from cubecore.turns import FACE_BY_COLOUR
from logs.algorithms.selectors import book_of_member
from logs.cases.report import CaseName, SideSight, name_of, side_sights
from logs.cases.words import side_words
from logs.people.sight import ClubSight, Sight, SightedMember
from logs.practice.figures import practice_mix_ups
from logs.practice.models import PracticeAnswer
from logs.practice.report.drills import one_drill
from logs.practice.report.practice import CUBE, SCRAMBLE, Choice, Day, Pool, day_of, pool_of
from logs.practice.selectors import answer_get, club_practice_frame, own_practice_frame
from logs.practice.services import question_seal
from logs.solves.selectors.solves import usual_last_colour
from logs.words import case_title, find_case

PICTURE = 220


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer to choose.

    Attributes:
        value: What is sent.
        label: Name of the case, or of the side.
    """

    value: str
    label: str


@dataclass(frozen=True, slots=True)
class Answered:
    """What an answer was.

    Attributes:
        is_right: Whether it was right.
        case: The case that was shown.
        angle: Quarter turns from its hold at which it was shown.
        answer: What was answered: name of a case or of a side.
        right_answer: What was right.
        recognition_ms: How long it took; null where it was not measured.
        tells: What to look at, in words, since a program sees no picture.
    """

    is_right: bool
    case: CaseName
    angle: int
    answer: str
    right_answer: str
    recognition_ms: int | None
    tells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PracticeQuestion:
    """A question.

    Attributes:
        day: How much of today's practice is done.
        pool: What is practised.
        choice: The same as it was chosen.
        case: The case whose side is asked for; None where the case is what is asked.
        picture: The case, without its name; empty where a scramble stands for it.
        sees: What the picture shows, or how to hold the cube that was scrambled, in words.
        scramble: Turns that lead to the case, or empty.
        answers: What there is to choose from.
        seal: Comes back with the answer.
        before: The answer before, if it was right; None at the start.
    """

    day: Day
    pool: Pool
    choice: Choice
    case: CaseName | None
    picture: str
    sees: str
    scramble: str
    answers: tuple[Answer, ...]
    seal: str
    before: Answered | None


def practice_question(
    *, actor: User, choice: Choice, last: int | None, rng: Random, now: datetime
) -> PracticeQuestion | Answered | Day:
    """The next question; or what the last answer was, if that was wrong; or a day that is done.

    Args:
        actor: Who practises.
        choice: What.
        last: The number of their last answer, None before the first and after a wrong one was read.
        rng: What draws.
        now: The time.

    Raises:
        NotFoundError: ``last`` is no answer of theirs.
    """
    answer = None if last is None else answer_get(actor=actor, answer_id=last)
    before = None if answer is None else _answered(actor, answer)
    if before is not None and not before.is_right:
        return before
    day = day_of(actor, now)
    if day.is_done:
        return day
    pool, task = pool_of(actor, choice), Task(choice.task)
    cases = pool.cases
    if task == Task.HOLD:
        cases = tuple(case for case in cases if CASES[case].n_angles > 1) or cases
    after = None if answer is None else _case(answer).id
    question = draw_question(cases, rng=rng, after=after)
    scramble = ""
    if choice.view == SCRAMBLE:
        case = CASES[question.case]
        drill, sees = one_drill(actor=actor, case=case, rng=rng)
        choices = choices_for(case, drill.angle, cases, rng=rng)
        question = Question(case.id, drill.angle, choices)
        picture, scramble = "", drill.scramble
    else:
        picture, sees = _shown(actor, question, choice.view, rng)
    hold = _hold(actor, question.case)
    case = CASES[question.case]
    return PracticeQuestion(
        day=day,
        pool=pool,
        choice=choice,
        case=None if task == Task.CASE else name_of(case.id),
        picture=picture,
        sees=sees,
        scramble=scramble,
        answers=_answers(task, question),
        seal=question_seal(actor=actor, task=task, question=question, hold=hold, now=now),
        before=before,
    )


def answered_report(*, actor: User, answer_id: int) -> Answered:
    """What one of the actor's answers was.

    Raises:
        NotFoundError: There is none.
    """
    return _answered(actor, answer_get(actor=actor, answer_id=answer_id))


def _hold(actor: User, case: CaseId) -> int:
    known = book_of_member(member=actor).algorithms(case)
    return known[0].angle % CASES[case].n_angles if known else 0


def _answers(task: Task, question: Question) -> tuple[Answer, ...]:
    if task == Task.CASE:
        return tuple(Answer(str(one.number), str(CASES[one])) for one in question.choices)
    return tuple(Answer(str(n), _side_words(n)) for n in range(4))


def _side_words(n_turns: int) -> str:
    side = SIDE_BROUGHT[n_turns]
    return "front, as it is" if n_turns == 0 else str(side)


def _shown(actor: User, question: Question, view: str, rng: Random) -> tuple[str, str]:
    """The picture of a question, and what it shows in words; neither names the case."""
    case = CASES[question.case]
    colour = usual_last_colour(actor=actor)
    sides = side_sights(case, question.angle)
    if view == CUBE or case.id.stage is Stage.PLL:
        sides = tuple(side for side in sides if side.is_in_sight)
        sees = _sees(case, question.angle, sides, colour)
        places = position_showing(case, question.angle, rng=rng)
        letters = shown_colours(places, FACE_BY_COLOUR[colour])
        return cube_picture(letters, size=PICTURE, text=sees), sees
    sees = _sees(case, question.angle, sides, colour)
    return case_picture(case, size=PICTURE, angle=question.angle, text=sees), sees


def _sees(case: Case, angle: int, sides: tuple[SideSight, ...], colour: str) -> str:
    seen = " ".join(f"{one.side.capitalize()}: {side_words(one, colour)}." for one in sides)
    return f"{shape_words(case, angle)}. {seen}"


def _case(answer: PracticeAnswer) -> Case:
    case = find_case(answer.stage, answer.case)
    assert case is not None  # the table holds known cases alone
    return case


def _answered(actor: User, answer: PracticeAnswer) -> Answered:
    case = _case(answer)
    colour = usual_last_colour(actor=actor)
    clues = clue_sentences(cue_of(case, answer.angle, in_sight=True), colour)
    if answer.task == Task.CASE:
        said, right = case_title(answer.stage, answer.answered), str(case)
    else:
        assert answer.answered_side is not None  # a hold has one
        said = _side_words(answer.answered_side)
        right = _side_words(turns_to_hold(case, answer.angle, _hold(actor, case.id)))
    return Answered(
        is_right=answer.is_right,
        case=name_of(case.id),
        angle=answer.angle,
        answer=said,
        right_answer=right,
        recognition_ms=answer.recognition_ms,
        tells=(f"{shape_words(case, answer.angle)}.", *clues),
    )


def answered_picture(*, actor: User, answered: Answered) -> str:
    """The case as it was shown, with what to look at ringed, as SVG."""
    case, angle = CASES[CaseId.read(answered.case.stage, answered.case.number)], answered.angle
    sentence = cue_sentence(case, angle, usual_last_colour(actor=actor), in_sight=True)
    marks = cue_stickers(cue_of(case, angle, in_sight=True))
    last = FACE_BY_COLOUR[usual_last_colour(actor=actor)]
    drawing = case_drawing(case, angle=angle, text=f"{case}: {sentence}", marks=marks, last=last)
    return drawing.svg(size=PICTURE)


SMALL_PICTURE = 56


_CELL = ["task", "stage", "case", "answered"]


@dataclass(frozen=True, slots=True)
class PracticeMistake:
    """A case that was asked in practice, and what it was taken for.

    Attributes:
        stage: OLL or PLL.
        shown: The case.
        shown_title: It in words.
        shown_picture: Its picture.
        said: What it was taken for; ``shown`` itself where it was held wrongly.
        said_title: It in words.
        said_picture: Its picture, or empty for a wrong hold.
        is_wrong_hold: Whether a wrong side was put to the front.
        n_events: How often.
        n: How often it was asked so.
        pct: The rate, per cent: the middle of what it may be.
        low_pct: Lower end of its range.
        high_pct: Upper end.
        is_finding: Whether enough is known to say so.
        by: Name and how often, the most first; nobody is named on a member's own page.
    """

    stage: str
    shown: str
    shown_title: str
    shown_picture: str
    said: str
    said_title: str
    said_picture: str
    is_wrong_hold: bool
    n_events: int
    n: int
    pct: int
    low_pct: int
    high_pct: int
    is_finding: bool
    by: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class PracticeMistakes:
    """All of a page.

    Attributes:
        findings: What is known well enough to say so.
        too_few: What happened too rarely for that.
        n: Answers counted.
        membership_ids: Who is named on the lines.
    """

    findings: tuple[PracticeMistake, ...]
    too_few: tuple[PracticeMistake, ...]
    n: int
    membership_ids: list[int]


def member_practice_mistakes(*, member: Sight) -> PracticeMistakes:
    """What a member took for what in practice; ``member`` as `people.whose` found them."""
    return _mistakes(own_practice_frame(member=member.user), {})


def club_practice_mistakes(*, actor: User, view: ClubSight) -> PracticeMistakes:
    """The same of the members of a club whose logs ``actor`` may read."""
    members = {member.user_id: member for member in view.members}
    return _mistakes(club_practice_frame(actor=actor, club=view.club_row), members)


def _mistakes(answers: pd.DataFrame, members: Mapping[int, SightedMember]) -> PracticeMistakes:
    wrong = answers[~answers["is_right"]]
    by: dict[tuple[Hashable, ...], Counter[int]] = {}
    for cell, group in wrong.groupby(_CELL):
        by[cell] = Counter(member for member in group["member_id"] if member in members)
    lines = [
        _line(row, by[tuple(row[name] for name in _CELL)], members)
        for row in practice_mix_ups(answers).to_dict("records")
    ]
    return PracticeMistakes(
        findings=tuple(line for line in lines if line.is_finding),
        too_few=tuple(line for line in lines if not line.is_finding),
        n=len(answers),
        membership_ids=sorted({members[one].membership_id for few in by.values() for one in few}),
    )


def _line(
    row: Mapping[Hashable, Any], by: Counter[int], members: Mapping[int, SightedMember]
) -> PracticeMistake:
    stage, shown, said = row["stage"], row["case"], row["answered"]
    is_wrong_hold = row["task"] == Task.HOLD
    return PracticeMistake(
        stage=stage,
        shown=shown,
        shown_title=case_title(stage, shown),
        shown_picture=_picture(stage, shown),
        said=said,
        said_title=case_title(stage, said),
        said_picture="" if is_wrong_hold else _picture(stage, said),
        is_wrong_hold=is_wrong_hold,
        n_events=row["n_events"],
        n=row["n"],
        pct=round(100 * row["rate"]),
        low_pct=round(100 * row["low"]),
        high_pct=round(100 * row["high"]),
        is_finding=bool(row["is_printed"]),
        by=tuple((members[one].name, n) for one, n in by.most_common()),
    )


def _picture(stage: str, number: str) -> str:
    case = find_case(stage, number)
    return "" if case is None else case_picture(case, size=SMALL_PICTURE)
