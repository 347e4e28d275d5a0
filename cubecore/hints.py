"""What would mend a solution that does not solve its scramble."""

from itertools import product

from cubecore.cube import SOLVED, after_turns
from cubecore.notation import parse_script
from cubecore.turns import HOLDS, HOME_HOLD, SUFFIXES, Face, Hold

_LETTERS = {"x": Face.R, "y": Face.U, "z": Face.F}


def _rotation_texts() -> dict[Hold, str]:
    """For each hold the shortest rotations that lead to it from the scramble's hold."""
    single = {
        letter + SUFFIXES[q - 1]: (face, q)
        for (letter, face), q in product(_LETTERS.items(), (1, 2, 3))
    }
    texts: dict[Hold, str] = {}
    for text, (face, q) in single.items():
        texts.setdefault(HOME_HOLD.rotated(face, q), text)
    for (text, (face, q)), (second, (other, r)) in product(single.items(), single.items()):
        texts.setdefault(HOME_HOLD.rotated(face, q).rotated(other, r), f"{text} {second}")
    return texts


def hold_hint(start: bytes, solution: str) -> str:
    """A sentence's end: from which hold the solution would work, or where else to look."""
    texts = _rotation_texts()
    for index, hold in enumerate(HOLDS):
        if after_turns(start, parse_script(solution, index).turns) == SOLVED:
            return f"; they would if it began with {texts[hold]} (how the cube was held)."
    return "; check that scramble and solution belong together and no turn is missing."
