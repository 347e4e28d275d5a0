"""How a skip came: by chance, or by turns that brought more than their stage."""

from collections.abc import Sequence

from cubecore.algorithms import count_turns
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


def last_pair_skip(context: LookContext, found: Milestones) -> SkipOrigin:
    """How the orientation came home together with F2L."""
    if found.f2l_turn == 0:
        return SkipOrigin.CLEAN
    insert = Turns(context.turns[found.three_turn : found.f2l_turn])
    if found.three_turn < 0 or count_turns(insert) > MAX_INSERT_TURNS:
        return SkipOrigin.WITH_LAST_PAIR
    return SkipOrigin.CLEAN


def orientation_skip(context: LookContext, looks: Sequence[Look]) -> SkipOrigin:
    """How the permutation came home together with the orientation that ``looks`` made."""
    is_clean = ends_with_book_algorithm(context, looks[-1])
    return SkipOrigin.CLEAN if is_clean else SkipOrigin.WITH_OLL
