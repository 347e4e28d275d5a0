"""A solve being written, in the words of its page."""

from typing import Any

from django.template import Library

from cubecore.cases import CASES, SKIP
from cubecore.rows import TimedBy
from cubecore.writeup import MixUp, Offer
from logs.solves.words import INSTRUMENTS, letters, part_name
from logs.words import reading, split
from logs.writeups.models import Writeup
from logs.writeups.report import WritingReport, WrittenStage
from logs.writeups.timing import Timing, TimingKind

register = Library()


@register.filter
def stage_label(stage: WrittenStage) -> str:
    """A stage of the strip: ``Pair 2``, ``OLL 27 Sune``."""
    return stage.title or part_name(stage.part)


@register.filter
def writing_words(report: WritingReport) -> str:
    """How far the writing has come, in a sentence."""
    writing = report.writing
    if writing.is_solved:
        return "Solved. Send it when it is as you did it."
    if report.title:
        return f"{report.title} lies open."
    if writing.offers:
        return "Only the last turn of the layer is left."
    if writing.oll is not None:
        return "In the midst of the last layer."
    done = [part_name(stage.part).lower() for stage in report.stages if stage.n_tokens is not None]
    if report.cross is None:
        return "No cross stands yet."
    return f"Done with the {report.cross} cross: {', '.join(done)}."


@register.filter
def offer_title(offer: Offer) -> str:
    """Whose algorithm is offered."""
    if offer.case.number == SKIP:
        return "Line the layer up"
    title = str(CASES[offer.case])
    return f"First step, by {title}" if offer.is_step else title


@register.filter
def mix_up_words(mix_up: MixUp) -> str:
    """What was written in the place of what."""
    met, written = CASES[mix_up.met], CASES[mix_up.written]
    if met == written:
        return f"That is the algorithm of {met}, from another hold than the case had."
    return f"You wrote the algorithm of {written}. The case was {met}."


@register.filter
def writeup_words(writeup: Writeup) -> str:
    """Which solve is being written: its time."""
    solve = writeup.solve
    return writeup.time if solve is None else reading(solve.time_ms, solve.status)


@register.filter
def timing_words(timing: Timing) -> str:
    """With which times the solve would go into the log."""
    n = len(timing.turn_ms)
    step = "" if timing.step_ms is None else f", in steps of {timing.step_ms} ms"
    if timing.kind is TimingKind.TURNS:
        return f"All {n} turns have their time, {INSTRUMENTS[TimedBy.VIDEO]}{step}."
    if timing.kind is TimingKind.SOME_TURNS:
        return f"{n - timing.turn_ms.count(None)} of {n} turns have their time."
    if timing.kind is TimingKind.MARKS:
        n_marks = sum(map(bool, timing.marks))
        return f"{n_marks} of 5 marks, {INSTRUMENTS[timing.timed_by]}{step}."
    return "No times yet. Without them the solve tells its cases, and not how long each took."


@register.filter
def timing_doubt(timing: Timing) -> str:
    """What is to be looked at again of the times; empty for nothing."""
    if timing.falling is not None:
        return f"Turn {timing.falling} ends before the one before it: stamp one of them again."
    if timing.apart_ms is None:
        return ""
    if timing.last_ms is not None and timing.apart_ms > timing.last_ms / 4:
        return (
            f"From hands start to the last turn it is {split(timing.last_ms, timing.step_ms)} s by"
            " the video, far from what the timer read. Is it slow motion, or another solve?"
        )
    return (
        f"From hands start to the last turn it is {split(timing.last_ms, timing.step_ms)} s by the"
        f" video: {split(timing.apart_ms, timing.step_ms)} s from what the timer read. Look at"
        " the first and the last stamp again. A timer stopped late is a reason too."
    )


@register.filter
def turn_ms_text(timing: Timing) -> str:
    """The stamps as the page's form keeps them."""
    return " ".join("-" if stamp is None else str(stamp) for stamp in timing.turn_ms)


def writing_json(report: WritingReport) -> dict[str, Any]:
    """What the page's script paints."""
    writing = report.writing
    problem = writing.problem
    return {
        "steps": [
            {"token": step.token, "column": step.column, "isTurn": step.is_turn}
            | {"letters": letters(step.cube)}
            for step in report.steps
        ],
        "stages": [{"label": stage_label(stage), "at": stage.n_tokens} for stage in report.stages],
        "now": writing_words(report),
        "isSolved": writing.is_solved,
        "problem": problem
        and {"column": problem.column, "token": problem.token, "message": problem.message},
        "offers": [
            {"title": offer_title(offer), "text": offer.text, "isStep": offer.is_step}
            for offer in writing.offers
        ],
        "mixUp": writing.mix_up
        and {"words": mix_up_words(writing.mix_up), "text": writing.mix_up.text},
        "mends": list(writing.mends),
        "timing": timing_words(report.timing),
        "doubt": timing_doubt(report.timing),
        "hasTimes": report.timing.kind is not TimingKind.NONE,
    }
