"""Practice and drills in words: what is practised, what is seen, what an answer was."""

from dataclasses import dataclass

from django.template import Library
from django.utils.safestring import SafeString, mark_safe

from cubecore.cases import CASES, Case, CaseId, Stage, case_at_angle
from cubecore.cue_words import clue_sentences, shape_words, sticker_words
from cubecore.cues import cue_of
from cubecore.holds import Side, Sticker, shows_last_colour
from cubecore.parting import parting
from cubecore.pictures import Drawing, case_drawing, case_picture, cube_picture
from cubecore.questions import SIDE_BROUGHT
from cubecore.stickers import side_letters
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
        f"Set {sheet.seed}",
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


@dataclass(frozen=True, slots=True)
class PairPicture:
    """One of two pictures side by side."""

    title: str
    picture: SafeString


@register.simple_tag
def answered_pictures(answered: Answered) -> tuple[PairPicture, ...]:
    """What was right and what was answered, held alike, what parts them ringed in both."""
    case, last = _case_of(answered), FACE_BY_COLOUR[answered.colour]
    if answered.answered_side is not None and answered.right_side is not None:
        turns = [SIDE_BROUGHT.index(side) for side in (answered.right_side, answered.answered_side)]
        titles = (f"Held rightly: {right_words(answered)}", f"As you said: {given_words(answered)}")
        return tuple(
            _pair_picture(
                title, case_drawing(case, angle=answered.angle - n, text=title, last=last)
            )
            for title, n in zip(titles, turns, strict=True)
        )
    titles = (f"It was {answered.case.title}", f"You said {given_words(answered)}")
    return pair_pictures(case, answered.angle, _said(answered), answered.colour, titles)


def pair_pictures(
    case: Case, angle: int, other: CaseId, colour: str, titles: tuple[str, str]
) -> tuple[PairPicture, ...]:
    """``case`` met at ``angle`` and ``other`` held alike, what parts them ringed in both."""
    held, last = parting(case.id, angle, other), FACE_BY_COLOUR[colour]
    marks = held.stickers[:1] if not held.n_top else ()
    drawings = (
        case_drawing(case, angle=angle, text=titles[0], marks=marks, last=last),
        case_drawing(held.case, angle=held.angle, text=titles[1], marks=marks, last=last),
    )
    return tuple(map(_pair_picture, titles, drawings))


def _pair_picture(title: str, drawing: Drawing) -> PairPicture:
    svg = drawing.svg(size=PICTURE_PX)
    return PairPicture(title, mark_safe(svg))  # noqa: S308 - the engine escapes the text


def _said(answered: Answered) -> CaseId:
    assert answered.answered_case is not None  # a case was asked for
    return CaseId.read(answered.answered_case.stage, answered.answered_case.number)


@register.filter
def parts_them(answered: Answered) -> str:
    """What parts the case from the one that was answered, both held alike; empty for a hold."""
    if answered.answered_case is None:
        return ""
    return parting_words(_case_of(answered), answered.angle, _said(answered), answered.colour)


def parting_words(case: Case, angle: int, said: CaseId, colour: str) -> str:
    """What parts ``case`` met at ``angle`` from another held as much like it as can be."""
    other = parting(case.id, angle, said)
    if other.n_top:
        return (
            f"The top tells: {shape_words(case, angle)},"
            f" and not {shape_words(other.case, other.angle)}."
        )
    sticker = other.stickers[0]
    shows = _sticker_shows(case, angle, sticker, colour)
    other_shows = _sticker_shows(other.case, other.angle, sticker, colour)
    return (
        f"The {sticker_words(sticker)} parts them: {shows} in {case.id},"
        f" {other_shows} in {other.case.id}."
    )


def _sticker_shows(case: Case, angle: int, sticker: Sticker, colour: str) -> str:
    """``yellow`` or ``not yellow`` of an OLL; the sticker's colour of a PLL."""
    key = case_at_angle(case, angle)
    if case.id.stage is Stage.OLL:
        return colour if shows_last_colour(key)[sticker] else f"not {colour}"
    letter = side_letters(key, FACE_BY_COLOUR[colour])[sticker]
    return next(name for name in FACE_BY_COLOUR if name[0].upper() == letter)


def _case_of(answered: Answered) -> Case:
    return CASES[CaseId.read(answered.case.stage, answered.case.number)]
