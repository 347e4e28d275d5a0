"""Algorithms in words."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from django.template import Library
from django.utils.safestring import SafeString, mark_safe

from cubecore.pictures import cube_picture
from cubecore.stepping import Steps, steps_of, token_cells
from cubecore.turns import FACE_BY_COLOUR
from logs.algorithms.report import AlgorithmFacts, Run
from logs.cases.report import CaseName
from logs.templatetags.notebook import case_picture

register = Library()


class ReadOut(Protocol):
    """A report with an algorithm in it, read out."""

    @property
    def runs(self) -> tuple[Run, ...]:
        """Triggers by name, and the turns between them."""


@register.filter
def read_out(runs: Sequence[Run]) -> str:
    """Triggers and the turns between them: ``Sune, then F, righty trigger, F'``."""
    texts = [run.text for run in runs]
    if len(texts) < 2:
        return "".join(texts)
    return f"{texts[0]}, then {', '.join(texts[1:])}"


@register.filter
def has_names(algorithm: ReadOut) -> bool:
    """Whether reading it out tells more than its turns."""
    return any(run.is_name for run in algorithm.runs)


@register.simple_tag
def hold_picture(case: CaseName, angle: int) -> SafeString:
    """The picture of the hold that an algorithm starts from."""
    text = f"{case.title}, the hold it starts from"
    return case_picture(case.stage, case.number, size=64, angle=angle, text=text)


_LONGEST_PIECE = 4
"""So many turns are drawn at once at most, and stepped at once where they have no name."""

PRIME = "'"

# Where the near or the upper side of a layer goes in a clockwise turn, and in the other one.
_WAYS = {
    **dict.fromkeys("Rrx", ("up", "down")),
    **dict.fromkeys("LlM", ("down", "up")),
    **dict.fromkeys("Uuy", ("left", "right")),
    **dict.fromkeys("DdE", ("right", "left")),
    **dict.fromkeys("FfSz", ("over to the right", "over to the left")),
    **dict.fromkeys("Bb", ("over to the left", "over to the right")),
}
_KINDS = {
    **dict.fromkeys("urfdlb", ", two layers"),
    **dict.fromkeys("MES", ", the middle layer"),
    **dict.fromkeys("xyz", ", the whole cube"),
}


def turn_words(token: str) -> str:
    """A written turn as it is said: ``R up``, ``U2 half way round``, ``r down, two layers``."""
    base, amount = token[0], token[1:]
    way = "half way round" if amount == "2" else _WAYS[base][amount == PRIME]
    return f"{base}{amount.strip(PRIME)} {way}{_KINDS.get(base, '')}"


@dataclass(frozen=True, slots=True)
class StepPicture:
    """A picture of a strip, and what was turned since the one before."""

    picture: SafeString
    words: str


@dataclass(frozen=True, slots=True)
class StepsView:
    """An algorithm to be stepped through.

    Attributes:
        name: What the page calls it.
        data: What the page's script turns: both hands, and what each turn does to the cube.
        strip: The pictures of the algorithm as it is written, for paper and where nothing moves.
    """

    name: str
    data: dict[str, Any]
    strip: tuple[StepPicture, ...]


@register.simple_tag
def steps_view(facts: AlgorithmFacts, colour: str, number: int) -> StepsView:
    """``{% steps_view facts colour number as steps %}``, the last layer's ``colour`` by name."""
    last, title = FACE_BY_COLOUR[colour], facts.case.title
    ways = (
        ("written", facts.text, facts.runs, title),
        ("mirror", facts.mirror, facts.mirror_runs, facts.mirror_case.title),
        ("far", facts.other_hand, facts.other_hand_runs, f"{title}, from the far side"),
    )
    steps = [steps_of(text, last=last) for _, text, _, _ in ways]
    tokens = sorted({token for way in steps for token in way.tokens})
    data = {
        "ways": [
            {
                "key": key,
                "title": name,
                "tokens": way.tokens,
                "words": [turn_words(token) for token in way.tokens],
                "runs": [{"name": run, "n": n} for run, n in pieces(runs)],
                "letters": way.letters,
                "pair": way.pair,
            }
            for (key, _, runs, name), way in zip(ways, steps, strict=True)
        ],
        "cells": {token: token_cells(token) for token in tokens},
    }
    return StepsView(f"steps-{number}", data, tuple(_strip(steps[0], facts)))


def pieces(runs: Sequence[Run], *, is_named_whole: bool = True) -> Iterator[tuple[str, int]]:
    """Each run's name (empty for turns without) and its turns; a long one in even pieces."""
    for run in runs:
        is_whole = run.is_name and is_named_whole
        n_pieces = 1 if is_whole else -(-run.n_turns // _LONGEST_PIECE)
        for piece in range(n_pieces):
            n_turns = (run.n_turns + piece) // n_pieces
            yield (run.text if run.is_name else ""), n_turns


def _strip(steps: Steps, facts: AlgorithmFacts) -> Iterator[StepPicture]:
    states = steps.states()
    yield _step_picture(states[0], "The hold it starts from")
    at = 0
    for name, n_turns in pieces(facts.runs, is_named_whole=False):
        turns = " ".join(steps.tokens[at : at + n_turns])
        at += n_turns
        yield _step_picture(states[at], f"{name}: {turns}" if name else turns)


def _step_picture(letters: str, said: str) -> StepPicture:
    picture = cube_picture(letters, size=112, text=said)
    return StepPicture(mark_safe(picture), said)  # noqa: S308 - the engine escapes the text


HOLDS = (
    "the taught hold",
    "a quarter turn (U) off the taught hold",
    "half a turn (U2) off the taught hold",
    "a quarter turn (U') off the taught hold",
)


@register.filter
def hold_name(n_quarter_turns_away: int | None) -> str:
    """From which hold a case is done: ``the taught hold``, ``half a turn (U2) off the taught hold``."""
    return "not told" if n_quarter_turns_away is None else HOLDS[n_quarter_turns_away]
