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
from cubecore.cases import CASES, Case, CaseId, Stage, case_at_angle
from cubecore.cube import PLACES
from cubecore.cues import cue_of
from cubecore.holds import Side, top_shape
from cubecore.questions import (
    SIDE_BROUGHT,
    Question,
    Task,
    choices_for,
    position_showing,
    question_about,
    shown_colours,
    turns_to_hold,
)
from cubecore.turns import FACE_BY_COLOUR
from logs.algorithms.report import taught
from logs.algorithms.selectors import book_of_member, holds_of_member
from logs.cases.report import CaseName, ClueFact, SideSight, clue_facts, name_of, side_sights
from logs.people.sight import ClubSight, Sight, SightedMember
from logs.practice.figures import next_case, practice_mix_ups, recall_shares
from logs.practice.models import PracticeAnswer
from logs.practice.report.drills import DrillHold, one_drill
from logs.practice.report.practice import CUBE, SCRAMBLE, Choice, Day, Pool, day_of, pool_of
from logs.practice.selectors import (
    answer_get,
    club_practice_frame,
    own_practice_frame,
    taken_for,
    told_histories,
)
from logs.practice.services import question_seal
from logs.solves.figures.mistakes import BAND
from logs.solves.report.steps import Colour
from logs.solves.selectors.solves import usual_last_colour
from logs.stats import Range
from logs.words import find_case


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer to choose: a case, or a side.

    Attributes:
        value: What is sent.
        case: The case; null where a side is asked for.
        side: The side that would face the solver; null where a case is asked for.
    """

    value: str
    case: CaseName | None
    side: Side | None


@dataclass(frozen=True, slots=True)
class Answered:
    """What an answer was.

    Attributes:
        is_right: Whether it was right.
        case: The case that was shown.
        angle: Clockwise quarter turns from its hold in the tables at which it was shown.
        answered_case: The case that was answered; null where a side was asked for.
        answered_side: The side that was answered; null where a case was asked for.
        right_side: The side that was right; the same.
        recognition_ms: How long it took, ms; null where it was not measured.
        colour: Colour of the last layer.
        top: Whether each sticker on top has the colour of the last layer, row by row, the back
            row first.
        clues: What else tells the case, of the sides in sight.
    """

    is_right: bool
    case: CaseName
    angle: int
    answered_case: CaseName | None
    answered_side: Side | None
    right_side: Side | None
    recognition_ms: int | None
    colour: Colour
    top: tuple[bool, ...]
    clues: tuple[ClueFact, ...]


@dataclass(frozen=True, slots=True)
class SeenFaces:
    """The three faces that are seen of a cube in the hand: nine colours each, row by row.

    Attributes:
        up: The upper face, its back edge first.
        right: The right face, its upper edge first.
        front: The front face, its upper edge first.
    """

    up: tuple[Colour, ...]
    right: tuple[Colour, ...]
    front: tuple[Colour, ...]


@dataclass(frozen=True, slots=True)
class PracticeQuestion:
    """A question.

    Attributes:
        day: How much of today's practice is done.
        pool: What is practised.
        choice: The same as it was chosen.
        question: The case and its angle.
        task: What is asked of it.
        colour: Colour of the last layer.
        top: Whether each sticker on top has that colour, row by row, the back row first; empty
            where a scramble stands for the case.
        sides: What the sides show that can be seen; the same.
        cube: The cube in the hand; None where it is seen from above, or scrambled.
        hold: How to hold a cube that was scrambled; None where none is.
        scramble: Turns that lead to the case, or empty.
        answers: What there is to choose from.
        seal: Comes back with the answer.
        before: The answer before, if it was right; None at the start.
    """

    day: Day
    pool: Pool
    choice: Choice
    question: Question
    task: Task
    colour: Colour
    top: tuple[bool, ...]
    sides: tuple[SideSight, ...]
    cube: SeenFaces | None
    hold: DrillHold | None
    scramble: str
    answers: tuple[Answer, ...]
    seal: str
    before: Answered | None

    @property
    def case(self) -> CaseName | None:
        """The case whose side is asked for; None where the case is what is asked."""
        return None if self.task is Task.CASE else name_of(self.question.case)


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
    is_turned = choice.view == SCRAMBLE
    day = day_of(actor, now, is_turned=is_turned)
    if day.is_done:
        return day
    pool, task = pool_of(actor, choice), Task(choice.task)
    cases = pool.cases
    if task == Task.HOLD:
        cases = tuple(case for case in cases if CASES[case].n_angles > 1) or cases
    after = None if answer is None else _case(answer).id
    shares = recall_shares(told_histories(actor=actor), hour=now.timestamp() / 3600)
    asked = next_case(cases, shares, rng=rng, after=after)
    taken = taken_for(actor=actor, case=asked)
    question = question_about(asked, cases, rng=rng, taken_for=taken)
    scramble, drill_hold, cube = "", None, None
    top: tuple[bool, ...] = ()
    sides: tuple[SideSight, ...] = ()
    colour = usual_last_colour(actor=actor)
    if is_turned:
        case = CASES[question.case]
        drill, drill_hold = one_drill(actor=actor, case=case, rng=rng)
        choices = choices_for(case, drill.angle, cases, rng=rng, taken_for=taken)
        question, scramble = Question(case.id, drill.angle, choices), drill.scramble
    else:
        case = CASES[question.case]
        top, sides = top_stickers(case, question.angle), side_sights(case, question.angle)
        if choice.view == CUBE or case.id.stage is Stage.PLL:
            sides = tuple(side for side in sides if side.is_in_sight)
            cube = _seen_cube(case, question.angle, colour, rng)
    hold = _hold(actor, question.case)
    return PracticeQuestion(
        day=day,
        pool=pool,
        choice=choice,
        question=question,
        task=task,
        colour=Colour(colour),
        top=top,
        sides=sides,
        cube=cube,
        hold=drill_hold,
        scramble=scramble,
        answers=_answers(task, question),
        seal=question_seal(
            actor=actor, task=task, question=question, hold=hold, now=now, is_turned=is_turned
        ),
        before=before,
    )


def answered_report(*, actor: User, answer_id: int) -> Answered:
    """What one of the actor's answers was.

    Raises:
        NotFoundError: There is none.
    """
    return _answered(actor, answer_get(actor=actor, answer_id=answer_id))


def _hold(actor: User, case: CaseId) -> int:
    """The angle in which the actor is taught a case."""
    book, holds = book_of_member(member=actor), holds_of_member(member=actor)
    return taught(CASES[case], book, holds).angle % CASES[case].n_angles


def _answers(task: Task, question: Question) -> tuple[Answer, ...]:
    if task == Task.CASE:
        return tuple(Answer(case.text, name_of(case), None) for case in question.choices)
    return tuple(Answer(str(n), None, side) for n, side in enumerate(SIDE_BROUGHT))


def _seen_cube(case: Case, angle: int, colour: str, rng: Random) -> SeenFaces:
    letters = shown_colours(position_showing(case, angle, rng=rng), FACE_BY_COLOUR[colour])
    colours = [_COLOUR_OF_LETTER[letter] for letter in letters]
    up, right, front = (tuple(colours[9 * face : 9 * face + 9]) for face in range(3))
    return SeenFaces(up=up, right=right, front=front)


_COLOUR_OF_LETTER = {colour[0].upper(): colour for colour in Colour}


def top_stickers(case: Case, angle: int) -> tuple[bool, ...]:
    """Whether each sticker on top of ``case`` has the last layer's colour, the back row first."""
    shape = top_shape(case_at_angle(case, angle))
    up = {(0, 0)} | {(PLACES[place][0][0], PLACES[place][0][2]) for place in shape}
    return tuple((x, z) in up for z in (-1, 0, 1) for x in (-1, 0, 1))


def _case(answer: PracticeAnswer) -> Case:
    case = find_case(answer.stage, answer.case)
    assert case is not None  # the table holds known cases alone
    return case


def _answered(actor: User, answer: PracticeAnswer) -> Answered:
    case = _case(answer)
    answered_case = answered_side = right_side = None
    if answer.task == Task.CASE:
        answered_case = name_of(CaseId.read(answer.stage, answer.answered))
    else:
        assert answer.answered_side is not None  # a hold has one
        answered_side = SIDE_BROUGHT[answer.answered_side]
        right_side = SIDE_BROUGHT[turns_to_hold(case, answer.angle, _hold(actor, case.id))]
    return Answered(
        is_right=answer.is_right,
        case=name_of(case.id),
        angle=answer.angle,
        answered_case=answered_case,
        answered_side=answered_side,
        right_side=right_side,
        recognition_ms=answer.recognition_ms,
        colour=Colour(usual_last_colour(actor=actor)),
        top=top_stickers(case, answer.angle),
        clues=clue_facts(cue_of(case, answer.angle, in_sight=True).clues),
    )


_CELL = ["task", "stage", "case", "answered"]


@dataclass(frozen=True, slots=True)
class MemberCount:
    """How often a member mistook a case in practice.

    Attributes:
        name: The name in the club.
        n_events: How often.
    """

    name: str
    n_events: int


@dataclass(frozen=True, slots=True)
class PracticeMistake:
    """A case that was asked in practice, and what it was taken for.

    Attributes:
        case: The case.
        answered: What it was taken for; ``case`` itself where it was held wrongly.
        is_wrong_hold: Whether a wrong side was put to the front.
        n_events: How often.
        n: How often it was asked so.
        rate_share: The rate, 0..1: the middle of what it may be.
        rate_range: Where the rate lies, 0..1.
        is_finding: Whether enough is known to say so.
        by: Who, the most often first; nobody is named on a member's own page.
    """

    case: CaseName
    answered: CaseName
    is_wrong_hold: bool
    n_events: int
    n: int
    rate_share: float
    rate_range: Range
    is_finding: bool
    by: tuple[MemberCount, ...]


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
        membership_ids=sorted(
            {members[user].membership_id for counts in by.values() for user in counts}
        ),
    )


def _line(
    row: Mapping[Hashable, Any], by: Counter[int], members: Mapping[int, SightedMember]
) -> PracticeMistake:
    stage = row["stage"]
    return PracticeMistake(
        case=name_of(CaseId.read(stage, row["case"])),
        answered=name_of(CaseId.read(stage, row["answered"])),
        is_wrong_hold=row["task"] == Task.HOLD,
        n_events=row["n_events"],
        n=row["n"],
        rate_share=row["rate"],
        rate_range=Range(low=row["low"], high=row["high"], level=BAND),
        is_finding=bool(row["is_printed"]),
        by=tuple(MemberCount(members[one].name, n) for one, n in by.most_common()),
    )
