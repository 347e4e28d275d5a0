"""How a skip came: by chance, or by turns that brought more than their stage."""

from collections.abc import Sequence

from cubecore.algorithms import count_turns, read_run
from cubecore.cases import Stage
from cubecore.looks import Look, LookContext, ends_with_book_algorithm
from cubecore.stages import Milestones
from cubecore.turns import Turns
from cubecore.words import Word

MAX_INSERT_TURNS = 4
"""The face turns of a plain insert at most, from three pairs standing to all four (common practice,
no source: ``R U R'`` and ``R' F R F'``). What takes longer had room to do more than its pair."""


class SkipOrigin(Word):
    """How a skip came.

    Attributes:
        CLEAN: By chance: what came before was done by a plain insert or a book's algorithm.
        WITH_LAST_PAIR: The excursion that brought F2L home brought the orientation: last-slot
            tricks, cancelled seams.
        WITH_OLL: The one that brought the orientation brought the permutation, and was none of the
            book's algorithms for it: one-look last layers.
    """

    CLEAN = "clean"
    WITH_LAST_PAIR = "with_last_pair"
    WITH_OLL = "with_oll"


def last_pair_skip(context: LookContext, milestones: Milestones) -> SkipOrigin:
    """How the orientation came home together with F2L."""
    if milestones.f2l_turn == 0:
        return SkipOrigin.CLEAN
    insert = Turns(context.turns[milestones.three_turn : milestones.f2l_turn])
    is_plain = milestones.three_turn >= 0 and count_turns(insert) <= MAX_INSERT_TURNS
    if is_plain and not _ends_in_orientation(context, milestones.f2l_turn):
        return SkipOrigin.CLEAN
    return SkipOrigin.WITH_LAST_PAIR


def _ends_in_orientation(context: LookContext, end: int) -> bool:
    """Whether the turns up to ``end`` are a book's algorithm for an OLL, but for its first turn.

    That one went together with the last turn of the pair: a cancelled seam.
    """
    endings = {read_run(Turns(entry.turns[1:])) for entry in context.book.of_stage(Stage.OLL)}
    return any(read_run(Turns(context.turns[begin:end])) in endings for begin in range(end))


def orientation_skip(context: LookContext, looks: Sequence[Look]) -> SkipOrigin:
    """How the permutation came home together with the orientation that ``looks`` made."""
    is_clean = ends_with_book_algorithm(context, looks[-1])
    return SkipOrigin.CLEAN if is_clean else SkipOrigin.WITH_OLL
