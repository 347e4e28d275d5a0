"""An algorithm token by token, as the 54 stickers around its solver."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import accumulate

from cubecore.cube import CELL_NUMBER, PIECES, PLACES, SOLVED, after_turns, cell_sources
from cubecore.notation import parse_script, parse_tokens
from cubecore.questions import shown_colours
from cubecore.turns import Face, inverse

_SLOTS = ((Face.F, Face.R), (Face.F, Face.L), (Face.B, Face.R), (Face.B, Face.L))


@dataclass(frozen=True, slots=True)
class Steps:
    """An algorithm from the case that it solves to its end, the cube held as it is written.

    Attributes:
        tokens: Its turns, slices and rotations.
        letters: The colours before the first of them, as `pictures.colour_letters` has them.
        pair: The cells of the pair of the first two layers that is away from home most; empty
            where none leaves.
    """

    tokens: tuple[str, ...]
    letters: str
    pair: tuple[int, ...]

    def states(self) -> tuple[str, ...]:
        """The colours at the start and after each token."""
        return tuple(accumulate(self.tokens, _letters_after, initial=self.letters))


@cache
def token_cells(token: str) -> tuple[int, ...]:
    """For each of the 54 cells the cell whose sticker ``token`` brings there."""
    script = parse_script(token)
    return cell_sources(script.turns, script.hold)


def _letters_after(letters: str, token: str) -> str:
    return "".join(letters[cell] for cell in token_cells(token))


@lru_cache(maxsize=2_000)
def steps_of(text: str, *, last: Face) -> Steps:
    """The steps of an algorithm, the layer of the colour of ``last`` up.

    Raises:
        NotationError: ``text`` is not notation.
    """
    turns = parse_script(text).turns
    before = after_turns(SOLVED, inverse(turns))
    tokens = tuple(token.text for token in parse_tokens(text))
    return Steps(tokens, shown_colours(before, last), _followed_pair(tokens))


def _followed_pair(tokens: Sequence[str]) -> tuple[int, ...]:
    """The cells, at the start, of the pair that is away from home after most tokens.

    A pair that lies where it lay, to the centres or to the solver, is home: a slice takes none out,
    nor does a rotation.
    """
    pairs = [_pair_stickers(slot) for slot in _SLOTS]
    n_away = [0] * len(pairs)
    for n in range(1, len(tokens)):
        script = parse_script(" ".join(tokens[:n]))
        places = after_turns(SOLVED, script.turns)
        sources = cell_sources(script.turns, script.hold)
        for at, pair in enumerate(pairs):
            cells = [CELL_NUMBER[PLACES[sticker]] for sticker in pair]
            is_home = all(places[sticker] == sticker for sticker in pair)
            n_away[at] += not is_home and any(sources[cell] != cell for cell in cells)
    most = max(n_away)
    followed = pairs[n_away.index(most)] if most else ()
    return tuple(sorted(CELL_NUMBER[PLACES[sticker]] for sticker in followed))


def _pair_stickers(slot: Sequence[Face]) -> tuple[int, ...]:
    """The five stickers of a corner of the bottom layer and of the edge above it."""
    return (*PIECES[frozenset(slot)], *PIECES[frozenset((*slot, Face.D))])
