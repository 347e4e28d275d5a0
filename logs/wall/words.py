"""A lesson on the wall as it is shown: one view after another, each with little on it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.template import Library
from django.utils.safestring import SafeString, mark_safe

from cubecore.cases import CASES, Case, CaseId
from cubecore.cue_words import clue_sentences, shape_words
from cubecore.cues import cue_of, cue_stickers
from cubecore.pictures import case_picture, cube_picture
from cubecore.questions import SIDE_BROUGHT, Task
from cubecore.stepping import steps_of
from cubecore.turns import FACE_BY_COLOUR
from logs.algorithms.report import Run
from logs.algorithms.words import pieces
from logs.practice.words import PairPicture, pair_pictures, parting_words
from logs.wall.figures import WallQuestion
from logs.wall.report import PhoneReport, WallCase, WallReport

register = Library()

LETTERS = "ABCDEF"
PICTURE_PX = 400
PHONE_PX = 132


@dataclass(frozen=True, slots=True)
class Option:
    """Something that may be answered: ``A`` and what it stands for.

    Attributes:
        letter: What the room calls it.
        value: What is sent.
        label: In words.
        picture: Of a hold; empty for a case.
        is_right: Whether it is the answer.
    """

    letter: str
    value: str
    label: str
    picture: SafeString
    is_right: bool


@dataclass(frozen=True, slots=True)
class RunShown:
    """A run of an algorithm; ``is_now`` while it is the one that was just made."""

    name: str
    turns: str
    is_now: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WallView:
    """What stands on the wall at once.

    Attributes:
        kind: What it shows; the page's style goes by it.
        step: Views of one step share it: a coach may skip the rest of a step.
        over: The line on top: which case of how many.
        heading: What it is about.
        pictures: The pictures, with what stands below them.
        lines: Sentences.
        options: What may be answered.
        runs: An algorithm, run by run.
        asked: Place of the question that the room answers; None for none.
        is_told: Whether it is turned over.
    """

    kind: str
    step: str
    over: str
    heading: str
    pictures: tuple[PairPicture, ...] = ()
    lines: tuple[str, ...] = ()
    options: tuple[Option, ...] = ()
    runs: tuple[RunShown, ...] = ()
    asked: int | None = None
    is_told: bool = False

    @property
    def right(self) -> str:
        """The letter of the right answer; empty where nothing is asked."""
        return next((option.letter for option in self.options if option.is_right), "")


@register.simple_tag
def wall_views(report: WallReport) -> tuple[WallView, ...]:
    """All views of a lesson between its first and its last, in their order."""
    views: list[WallView] = []
    for line in report.cases:
        views += _case_views(report, line)
    for place, question in enumerate(report.questions):
        if question.task is Task.CASE:
            views += _round_views(report, place, question)
    return tuple(views)


def _case_views(report: WallReport, line: WallCase) -> Iterator[WallView]:
    case = CASES[CaseId.read(line.case.stage, line.case.number)]
    over = f"{line.place} of {len(report.cases)}: {line.case.title}"
    question = None if line.question is None else report.questions[line.question]
    shown = line.case.angle if question is None else question.angle

    def view(kind: str, heading: str, **parts: object) -> WallView:
        step = f"{line.case.code}-{kind}"
        return WallView(kind=kind, step=step, over=over, heading=heading, **parts)  # type: ignore[arg-type]  # named by their fields

    whole = _picture(case, shown, report.colour, line.case.title)
    yield view(
        "shape",
        line.case.title,
        pictures=(PairPicture("", whole),),
        lines=(
            f"{shape_words(case, shown)}.",
            f"Comes up once in {line.case.once_in} solves.",
        ),
    )
    if question is not None:
        options = options_of(question, report.colour, PICTURE_PX)
        heading = "How do we hold it?"
        yield view("hold", heading, options=options, asked=line.question)
        yield view("told", "This is how", options=options, asked=line.question, is_told=True)
    cue = cue_of(case, line.case.angle)
    ringed = _picture(case, line.case.angle, report.colour, line.case.title, has_cue=True)
    look = clue_sentences(cue, report.colour) or (
        "It looks the same from every side: every hold is right."
        if question is None
        else f"{shape_words(case, line.case.angle)}: the top tells it.",
    )
    yield view("look", "What to look at", pictures=(PairPicture("", ringed),), lines=tuple(look))
    if line.words:
        yield view("words", "In our words", lines=tuple(line.words.splitlines()))
    for n, other in enumerate(line.look_alikes):
        said = CaseId.read(other.stage, other.number)
        titles = (line.case.title, other.title)
        yield view(
            f"alike-{n}",
            "What it could be taken for",
            pictures=pair_pictures(case, line.case.angle, said, report.colour, titles),
            lines=(parting_words(case, line.case.angle, said, report.colour),),
        )
    for kind, heading, text, runs in (
        ("turns", "The algorithm", line.facts.text, line.facts.runs),
        (
            "mirror",
            f"The other hand, in the mirror: {line.facts.mirror_case.title}",
            line.facts.mirror,
            line.facts.mirror_runs,
        ),
    ):
        for picture, parts in _run_pictures(text, runs, report.colour):
            yield view(kind, heading, pictures=(picture,), runs=parts)


def _run_pictures(
    text: str, runs: Sequence[Run], colour: str
) -> Iterator[tuple[PairPicture, tuple[RunShown, ...]]]:
    """The cube before the first run and after each, and the algorithm with that run marked."""
    steps = steps_of(text, last=FACE_BY_COLOUR[colour])
    states = steps.states()
    named, at, ends = [], 0, [0]
    for name, n_turns in pieces(runs):
        named.append((name, " ".join(steps.tokens[at : at + n_turns])))
        at += n_turns
        ends.append(at)
    for now, end in enumerate(ends, start=-1):
        words = "The hold it starts from" if now < 0 else f"After {named[now][1]}"
        picture = mark_safe(cube_picture(states[end], size=PICTURE_PX, text=words))  # noqa: S308 - the engine escapes the text
        yield (
            PairPicture(words, picture),
            tuple(RunShown(name, turns, n == now) for n, (name, turns) in enumerate(named)),
        )


def _round_views(report: WallReport, place: int, question: WallQuestion) -> Iterator[WallView]:
    n = place - report.first_of_round + 1
    over = f"Question {n} of {len(report.questions) - report.first_of_round}"
    case, options = CASES[question.case], options_of(question, report.colour, PICTURE_PX)
    plain = _picture(case, question.angle, report.colour, shape_words(case, question.angle))
    title = str(case)
    cue = cue_of(case, question.angle, in_sight=True)
    marks = cue_stickers(cue)
    last = FACE_BY_COLOUR[report.colour]
    ringed = mark_safe(  # noqa: S308 - the engine escapes the text
        case_picture(
            case, size=PICTURE_PX, angle=question.angle, text=title, marks=marks, last=last
        )
    )
    yield WallView(
        kind="ask",
        step=f"ask-{n}",
        over=over,
        heading="Which case is this?",
        pictures=(PairPicture("", plain),),
        options=options,
        asked=place,
    )
    yield WallView(
        kind="answer",
        step=f"ask-{n}",
        over=over,
        heading=title,
        pictures=(PairPicture("", ringed),),
        options=options,
        asked=place,
        is_told=True,
    )


def options_of(question: WallQuestion, colour: str, size: int) -> tuple[Option, ...]:
    """What may be answered to a question, in the order of its letters."""
    case = CASES[question.case]
    return tuple(
        Option(
            letter=letter,
            value=value,
            label=_label(question, value),
            picture=_picture(
                case, question.angle - int(value), colour, f"{letter}: held so", size=size
            )
            if question.task is Task.HOLD
            else SafeString(""),
            is_right=value == question.right,
        )
        for letter, value in zip(LETTERS, question.choices, strict=False)
    )


def _label(question: WallQuestion, value: str) -> str:
    if question.task is Task.HOLD:
        return "as it is" if value == "0" else f"{SIDE_BROUGHT[int(value)]} side in front"
    return str(CASES[CaseId.read(question.case.stage, value)])


def _picture(
    case: Case,
    angle: int,
    colour: str,
    text: str,
    *,
    has_cue: bool = False,
    size: int = PICTURE_PX,
) -> SafeString:
    marks = cue_stickers(cue_of(case, angle % case.n_angles)) if has_cue else ()
    picture = case_picture(
        case,
        size=size,
        angle=angle % case.n_angles,
        text=text,
        marks=marks,
        last=FACE_BY_COLOUR[colour],
    )
    return mark_safe(picture)  # noqa: S308 - the engine escapes the text


@register.simple_tag
def phone_options(report: PhoneReport) -> tuple[Option, ...]:
    """What a phone may answer."""
    return options_of(report.question, report.colour, PHONE_PX) if report.question else ()


@register.filter
def question_words(report: PhoneReport) -> str:
    """What is asked: ``How do we hold OLL 27 Sune?``, ``Which case is this?``."""
    if report.question is None:
        return ""
    if report.question.task is Task.HOLD:
        return f"How do we hold {CASES[report.question.case]}?"
    return "Which case is this?"
