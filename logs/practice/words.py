"""Practice and drills in words: what is practised, what is seen, what an answer was."""

from django.template import Library
from django.utils.safestring import SafeString, mark_safe

from cubecore.cases import CASES, Case, CaseId
from cubecore.cue_words import clue_sentences, cue_sentence, shape_words
from cubecore.cues import cue_of, cue_stickers
from cubecore.holds import Side
from cubecore.pictures import case_drawing, case_picture, cube_picture
from cubecore.turns import FACE_BY_COLOUR
from logs.cases.words import side_words
from logs.practice.report.drills import DrillHold, DrillSheet
from logs.practice.report.practice import Pool, PoolKind
from logs.practice.report.question import Answer, Answered, PracticeQuestion

register = Library()

PICTURE_PX = 220
MOST_NAMED = 4
"""Up to so many cases stand in a sheet's heading."""


@register.filter
def pool_title(pool: Pool) -> str:
    """``My homework (3 cases)``, ``All 57 OLLs``, ``PLL, edges only``."""
    n, first = len(pool.cases), pool.cases[0]
    if pool.kind is PoolKind.HOMEWORK:
        return f"My homework ({n} case{'s' * (n != 1)})"
    if pool.kind is PoolKind.STAGE:
        return f"All {n} {first.stage.upper()}s"
    if pool.kind is PoolKind.FAMILY:
        return f"{first.stage.upper()}, {pool.family}"
    return f"{CASES[CaseId.read(*pool.code.split('-'))]} and what looks like it"


@register.filter
def drills_title(sheet: DrillSheet) -> str:
    """What a sheet is headed: ``Drills: OLL 33, OLL 45 and what looks like it``."""
    if sheet.pool is not None:
        return f"Drills: {pool_title(sheet.pool)}"
    few = ", ".join(case.title for case in sheet.named[:MOST_NAMED])
    others = " and others" if len(sheet.named) > MOST_NAMED else ""
    return f"Drills: {few}{others}{' and what looks like it' if sheet.has_look_alikes else ''}"


@register.filter
def drills_lines(sheet: DrillSheet) -> tuple[str, ...]:
    """What stands below the heading, each without its stop."""
    n = len(sheet.drills)
    order = "" if sheet.is_one_case else f" of {sheet.n_cases} cases in random order"
    return (
        f"{n} drill{'s' * (n > 1)}{order}."
        f" Scramble white up, green front; the last layer is {sheet.colour}",
        f"Seed {sheet.seed}",
    )


def drills_text(sheet: DrillSheet) -> str:
    """The scrambles as plain text, one a line below the heading."""
    head = [drills_title(sheet), *(f"{line}." for line in drills_lines(sheet)), ""]
    return "\n".join([*head, *(f"{line.number}. {line.scramble}" for line in sheet.drills), ""])


@register.filter
def hold_words(hold: DrillHold) -> str:
    """How to hold a cube that was scrambled."""
    return f"Scramble white up, green front; then hold {hold.up} up, {hold.front} front."


def side_name(side: Side) -> str:
    """A side that would face the solver: ``front, as it is``, ``left``."""
    return "front, as it is" if side is Side.FRONT else str(side)


@register.filter
def answer_label(answer: Answer) -> str:
    """An answer to choose: a case by name, or a side."""
    if answer.side is not None:
        return side_name(answer.side)
    return answer.case.title if answer.case else ""


@register.filter
def given_words(answered: Answered) -> str:
    """What was answered: a case by name, or a side."""
    if answered.answered_side is not None:
        return side_name(answered.answered_side)
    return answered.answered_case.title if answered.answered_case else ""


@register.filter
def right_words(answered: Answered) -> str:
    """What was right: the case by name, or a side."""
    return side_name(answered.right_side) if answered.right_side else answered.case.title


@register.filter
def tells(answered: Answered) -> tuple[str, ...]:
    """What tells the case that was shown, a sentence each."""
    case = _case_of(answered)
    cue = cue_of(case, answered.angle, in_sight=True)
    return f"{shape_words(case, answered.angle)}.", *clue_sentences(cue, answered.colour)


@register.filter
def sees(question: PracticeQuestion) -> str:
    """What a question shows, or how to hold the cube that was scrambled; it names no case."""
    if question.hold is not None:
        return hold_words(question.hold)
    shape = shape_words(CASES[question.question.case], question.question.angle)
    sides = " ".join(
        f"{sight.side.capitalize()}: {side_words(sight, question.colour)}."
        for sight in question.sides
    )
    return f"{shape}. {sides}"


@register.simple_tag
def question_picture(question: PracticeQuestion) -> SafeString:
    """The case of a question, without its name; empty where a scramble stands for it."""
    if question.hold is not None:
        return SafeString("")
    text = sees(question)
    if question.cube is None:
        case, angle = CASES[question.question.case], question.question.angle
        return mark_safe(case_picture(case, size=PICTURE_PX, angle=angle, text=text))  # noqa: S308 - the engine escapes the text
    faces = (question.cube.up, question.cube.right, question.cube.front)
    letters = "".join(colour[0].upper() for face in faces for colour in face)
    return mark_safe(cube_picture(letters, size=PICTURE_PX, text=text))  # noqa: S308 - as above


@register.simple_tag
def answered_picture(answered: Answered) -> SafeString:
    """The case as it was shown, with what to look at ringed."""
    case, angle = _case_of(answered), answered.angle
    sentence = cue_sentence(case, angle, answered.colour, in_sight=True)
    marks = cue_stickers(cue_of(case, angle, in_sight=True))
    last = FACE_BY_COLOUR[answered.colour]
    drawing = case_drawing(case, angle=angle, text=f"{case}: {sentence}", marks=marks, last=last)
    return mark_safe(drawing.svg(size=PICTURE_PX))  # noqa: S308 - as above


def _case_of(answered: Answered) -> Case:
    return CASES[CaseId.read(answered.case.stage, answered.case.number)]
