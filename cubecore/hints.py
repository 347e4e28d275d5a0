"""What would mend a solution that does not solve its scramble."""

from itertools import product

from cubecore.cube import SOLVED, Places, after_turns
from cubecore.turns import HOLDS, SUFFIXES, Face, Hold, Turns, renamed

_LETTERS = {"x": Face.R, "y": Face.U, "z": Face.F}


def _rotation_texts(begin: Hold) -> dict[Hold, str]:
    """For each hold the shortest rotations that lead to it from ``begin``."""
    single = {
        letter + SUFFIXES[q - 1]: (face, q)
        for (letter, face), q in product(_LETTERS.items(), (1, 2, 3))
    }
    texts: dict[Hold, str] = {}
    for text, (face, q) in single.items():
        texts.setdefault(begin.rotated(face, q), text)
    for (text, (face, q)), (second, (other, r)) in product(single.items(), single.items()):
        texts.setdefault(begin.rotated(face, q).rotated(other, r), f"{text} {second}")
    return texts


def hold_hint(start: Places, turns: Turns, begin: Hold) -> str:
    """A sentence's end: from which hold a solution would work, or where else to look.

    Args:
        start: The position after the scramble.
        turns: The solution's outer turns, begun in the scramble's hold.
        begin: That hold.
    """
    rotation = hold_mend(start, turns, begin)
    if rotation is not None:
        return f"; they would if it began with {rotation} (how the cube was held)."
    return "; check that scramble and solution belong together and no turn is missing."


def hold_mend(start: Places, turns: Turns, begin: Hold) -> str | None:
    """The rotation with which a solution would solve if it began with that; None without one.

    Args:
        start: The position after the scramble.
        turns: The solution's outer turns, begun in the scramble's hold.
        begin: That hold.
    """
    as_written = renamed(turns, begin.solver_table)
    for hold in HOLDS:
        if after_turns(start, renamed(as_written, hold.turn_table)) == SOLVED:
            return _rotation_texts(begin).get(hold)
    return None
