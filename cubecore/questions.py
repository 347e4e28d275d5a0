"""Questions about a case: a view of it, and what may be answered."""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from cubecore.cases import CASES, Case, CaseId, Stage
from cubecore.cube import SOLVED, Places, after_turns
from cubecore.holds import Side
from cubecore.notation import parse_script
from cubecore.parting import parting
from cubecore.pictures import colour_letters
from cubecore.turns import (
    HOME_HOLD,
    NO_TURNS,
    Face,
    Hold,
    Turns,
    hold_with_up,
    inverse,
    joined,
    layer_turn,
)
from cubecore.words import Word

MOST_CHOICES = 6
FEWEST_CHOICES = 4
_ANGLES = 4
# The side that so many clockwise quarter turns of the layer bring to the front.
SIDE_BROUGHT = (Side.FRONT, Side.RIGHT, Side.BACK, Side.LEFT)


class Task(Word):
    """What is asked of a case that is shown: which it is, or how to hold it."""

    CASE = "case"
    HOLD = "hold"


@dataclass(frozen=True, slots=True)
class Question:
    """A case met at an angle.

    Attributes:
        case: What is shown.
        angle: From which angle, 0-3; one that its symmetry makes equal counts as the same.
        choices: The cases to choose from, ``case`` among them, in the order of the tables.
    """

    case: CaseId
    angle: int
    choices: tuple[CaseId, ...]


def question_about(
    asked: CaseId, pool: Sequence[CaseId], *, rng: Random, taken_for: Sequence[CaseId] = ()
) -> Question:
    """A question about a case at an angle, each angle as likely as the others.

    Args:
        asked: The case.
        pool: What else is practised.
        rng: What draws.
        taken_for: What the case was taken for before, the most often first.
    """
    case = CASES[asked]
    angle = rng.randrange(_ANGLES) % case.n_angles
    choices = choices_for(case, angle, pool, rng=rng, taken_for=taken_for)
    return Question(case.id, angle, choices)


def choices_for(
    case: Case,
    angle: int,
    pool: Sequence[CaseId],
    *,
    rng: Random,
    taken_for: Sequence[CaseId] = (),
) -> tuple[CaseId, ...]:
    """``case`` among the cases it could be taken for, so that the shape alone settles nothing.

    What it was taken for comes first, then what can be held most like it; of those alike ones of
    ``pool``. From ``FEWEST_CHOICES`` to ``MOST_CHOICES`` of one stage: no more than share its shape
    on top, or were taken for it.
    """
    others = [other for other in CASES if other.stage is case.id.stage and other != case.id]
    rng.shuffle(others)
    alike = {other: parting(case.id, angle, other) for other in others}
    often = [other for other in taken_for if other in alike]

    def order(other: CaseId) -> tuple[int, bool, int, bool]:
        held = alike[other]
        rank = often.index(other) if other in often else len(often)
        return rank, held.n_top > 0, held.n_differences, other not in pool

    others.sort(key=order)
    n_close = sum(other in often or not alike[other].n_top for other in others)
    chosen = others[: min(MOST_CHOICES - 1, max(FEWEST_CHOICES - 1, n_close))]
    return tuple(other for other in CASES if other == case.id or other in chosen)


def alike_cases(case: Case, angle: int) -> tuple[CaseId, ...]:
    """Cases with the same shape on top as ``case`` met at ``angle``; of PLLs the nearest few.

    ``FEWEST_CHOICES`` less one of those, as alike as can be seen from the front and the right.
    """
    held = {
        other: parting(case.id, angle, other)
        for other in CASES
        if other.stage is case.id.stage and other != case.id
    }
    if case.id.stage is Stage.OLL:
        return tuple(other for other, alike in held.items() if not alike.n_top)
    return tuple(sorted(held, key=lambda other: held[other].n_differences)[: FEWEST_CHOICES - 1])


def turns_to_hold(case: Case, angle: int, hold: int) -> int:
    """How many clockwise quarter turns of the layer lead from ``angle`` to the hold, the fewest."""
    return (angle - hold) % case.n_angles


def position_showing(case: Case, angle: int, *, rng: Random) -> Places:
    """A position of the cube, last layer up, that shows ``case`` at ``angle``.

    How the layer is permuted below an OLL is drawn too, and so is how a layer stands to the rest.
    """
    below = NO_TURNS
    if case.id.stage is Stage.OLL:
        plls = [other for other in CASES.values() if other.id.stage is Stage.PLL]
        below = joined(_undone(rng.choice(plls)), _auf(rng.randrange(_ANGLES)))
    turns = joined(_auf(rng.randrange(_ANGLES)), below, _undone(case), _auf(-angle))
    return after_turns(SOLVED, turns)


def shown_colours(places: Places, last: Face) -> str:
    """The 54 letters of `pictures.colour_letters` of a position whose last layer is up.

    Args:
        places: The position.
        last: The face whose colour the last layer shall have.
    """
    hold = hold_with_up(last)
    upright = colour_letters(places, HOME_HOLD)
    return upright.translate(_recoloured(hold))


def _recoloured(hold: Hold) -> dict[int, int]:
    solved = colour_letters(SOLVED, HOME_HOLD)
    seen = colour_letters(SOLVED, hold)
    return {ord(solved[9 * face]): ord(seen[9 * face]) for face in Face}


def _undone(case: Case) -> Turns:
    return inverse(parse_script(case.algorithms[0]).turns)


def _auf(quarter_turns: int) -> Turns:
    return layer_turn(Face.U, quarter_turns)
