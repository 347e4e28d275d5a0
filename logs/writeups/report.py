"""What is written of a solve, as the engine reads it."""

from dataclasses import dataclass

from clubsite.accounts.models import User
from cubecore.cases import CASES, SKIP, CaseId, Stage
from cubecore.turns import Face
from cubecore.writeup import Writeup as Writing
from cubecore.writeup import read_writeup
from logs.algorithms.selectors import book_of_member
from logs.solves.report.steps import Colour, CubeFaces, Part, PartKind, faces_of
from logs.writeups.models import Writeup
from logs.writeups.timing import Timing, timing_of


@dataclass(frozen=True, slots=True)
class WrittenStep:
    """The cube after a token; the first step is the scrambled cube, without one.

    Attributes:
        token: The token.
        column: Where it begins in the text, from 1; 0 for the scrambled cube.
        is_turn: Whether it turns a layer, so that it can be stamped.
        cube: The cube then, as it is held.
    """

    token: str
    column: int
    is_turn: bool
    cube: CubeFaces


@dataclass(frozen=True, slots=True)
class WrittenStage:
    """A stage of the strip.

    Attributes:
        part: Which.
        title: The case that it shows; empty for one that shows none.
        n_tokens: After how many tokens it was home; null before that.
    """

    part: Part
    title: str
    n_tokens: int | None


@dataclass(frozen=True, slots=True)
class WritingReport:
    """A solve as far as it is written.

    Attributes:
        steps: The cube after each token that can be read.
        stages: Cross, pairs, OLL, PLL.
        cross: Colour of the cross whose stages these are; null before any cross.
        title: The case that lies open now; empty where none does.
        writing: What the engine makes of it.
        timing: Its times.
    """

    steps: tuple[WrittenStep, ...]
    stages: tuple[WrittenStage, ...]
    cross: Colour | None
    title: str
    writing: Writing
    timing: Timing


def writing_report(*, actor: User, writeup: Writeup, is_whole: bool = False) -> WritingReport:
    """What the engine makes of a writeup of the actor's.

    Args:
        actor: Who writes.
        writeup: Theirs.
        is_whole: Whether that is all, so that what does not solve is to be mended.
    """
    book = book_of_member(member=actor)
    writing = read_writeup(writeup.scramble, writeup.solution, book, is_whole=is_whole)
    columns = (0, *(token.column for token in writing.tokens))
    texts = ("", *(token.text for token in writing.tokens))
    are_turns = (False, *(token.turns_a_layer for token in writing.tokens))
    states = zip(texts, columns, are_turns, writing.positions, writing.holds, strict=True)
    return WritingReport(
        steps=tuple(
            WrittenStep(text, column, is_turn, faces_of(places, hold))
            for text, column, is_turn, places, hold in states
        ),
        stages=tuple(_stages(writing)),
        cross=None if writing.cross is None else Colour(Face(writing.cross).colour),
        title="" if writing.case is None else str(CASES[writing.case]),
        writing=writing,
        timing=timing_of(writeup, writing.tokens),
    )


def _stages(writing: Writing) -> list[WrittenStage]:
    pairs = [
        WrittenStage(Part(PartKind.PAIR, n), "", at)
        for n, at in enumerate(writing.pair_at, start=1)
    ]
    return [
        WrittenStage(Part(PartKind.CROSS), "", writing.cross_at),
        *pairs,
        WrittenStage(Part(PartKind.OLL), _title(Stage.OLL, writing.oll), writing.oll_at),
        WrittenStage(Part(PartKind.PLL), _title(Stage.PLL, writing.pll), writing.pll_at),
    ]


def _title(stage: Stage, case: int | str | None) -> str:
    if case is None:
        return ""
    return f"{stage.upper()} skip" if case == SKIP else str(CASES[CaseId(stage, case)])
