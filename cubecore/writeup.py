"""A solution while it is being written: how far it has come, what comes next, what would mend it.

Stages and cases are those of a replay of what is written so far; nothing here decides them anew.
"""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import accumulate, islice
from typing import NamedTuple

from cubecore.algorithms import Algorithm
from cubecore.book import Book
from cubecore.cases import OLL, SKIP, CaseId, EdgeStep, LastLayer, PermutationStep, Stage, label
from cubecore.compact import read_turns
from cubecore.cube import SOLVED, TURN_TABLES, Places, after_turns, walk
from cubecore.errors import NotationError
from cubecore.hints import hold_mend
from cubecore.looks import Look
from cubecore.notation import Token, format_tokens, format_turns, parse_script, parse_tokens
from cubecore.outcomes import Outcome, is_goal
from cubecore.replay import replay_turns
from cubecore.results import Replay
from cubecore.rows import Penalty, Row
from cubecore.stages import f2l_pieces_home, furthest_stages
from cubecore.turns import Face, Hold, Turns, inverse, layer_turn, make_turn, renamed, run_of

MAX_OFFERS = 10
"""Algorithms offered for a case, and as first steps."""
MAX_STEPS = 6
_TO_TOP = ("", "x", "x'", "x2", "z", "z'")
"""Rotations by which each face comes up."""
_QUARTER_TURNS = (0, 1, 3, 2)


class Offer(NamedTuple):
    """An algorithm of the book as it would be written now.

    Attributes:
        case: Whose algorithm it is.
        algorithm: The book's spelling.
        text: That, with what brings the layer up, lines it up, and lines it up at the end.
        is_step: Whether it is a first look alone, of a stage that takes two.
    """

    case: CaseId
    algorithm: str
    text: str
    is_step: bool


class MixUp(NamedTuple):
    """An algorithm that was written where another belongs.

    Attributes:
        met: The case that was there.
        written: Whose algorithm was written; ``met`` itself where the hold was another.
        text: The whole solution with the right one in its place; empty where the book has none.
    """

    met: CaseId
    written: CaseId
    text: str


class Writeup(NamedTuple):
    """What is written so far. Counts are of tokens.

    Attributes:
        tokens: Those that can be read, up to the first that cannot.
        positions: The cube after each, from the scramble on.
        holds: How it is held then.
        problem: Why the rest cannot be read; None when all can.
        cross: The face whose stages these are; None before any cross.
        cross_at: After how many tokens the cross was home; None before that.
        pair_at: The same for one pair, two, three, four.
        oll: The orientation case that F2L left, or ``"skip"``; None before F2L.
        oll_at: After how many tokens the layer was oriented.
        pll: The permutation case that was left then; the same.
        pll_at: After how many it was solved up to AUF.
        is_solved: Whether the cube is solved.
        case: The case that is there now; None where the layer does not lie open, or is done.
        offers: What could be written for it.
        mix_up: What was written in the place of something else.
        mends: Whole solutions, one change away, that solve the scramble.
    """

    tokens: tuple[Token, ...]
    positions: tuple[Places, ...]
    holds: tuple[Hold, ...]
    problem: NotationError | None
    cross: Face | None
    cross_at: int | None
    pair_at: tuple[int | None, ...]
    oll: int | str | None
    oll_at: int | None
    pll: int | str | None
    pll_at: int | None
    is_solved: bool
    case: CaseId | None
    offers: tuple[Offer, ...]
    mix_up: MixUp | None
    mends: tuple[str, ...]


class _Written(NamedTuple):
    """Tokens as they turn: the cube, its hold and the outer turns made, before and after each."""

    tokens: tuple[Token, ...]
    positions: tuple[Places, ...]
    holds: tuple[Hold, ...]
    turns: tuple[Turns, ...]

    @property
    def counts(self) -> list[int]:
        """How many outer turns had been made after each token."""
        return [0, *accumulate(map(len, self.turns))]

    def tokens_after(self, n_turns: int | None) -> int | None:
        """After how many tokens ``n_turns`` outer turns had been made."""
        if n_turns is None:
            return None
        return next(n for n, count in enumerate(self.counts) if count >= n_turns)


def read_writeup(scramble: str, solution: str, book: Book, *, is_whole: bool = False) -> Writeup:
    """What a solution has come to, as far as it is written.

    Args:
        scramble: The turns that mixed the cube.
        solution: The turns so far.
        book: Whose algorithms are offered.
        is_whole: Whether that is all, so that what does not solve is to be mended.

    Raises:
        NotationError: The scramble cannot be read.
        RowError: The scramble leaves the cube solved.
    """
    tokens, problem = _readable(solution)
    text = format_tokens(tokens)
    row = read_turns(Row(scramble=scramble, time_ms=1, penalty=Penalty.DNF, solution=text))
    result = replay_turns(row, book)
    written = _turned(tokens, after_turns(SOLVED, row.scramble), row.hold)
    end = written.positions[-1]
    cross, cross_turn, pair_turns = _first_stages(written, result)
    layer = None
    if result.oll is not None and result.cross is not None and f2l_pieces_home(end, result.cross):
        layer = label(end, result.cross.opposite)
    case = None if layer is None else _case_of(layer)
    offers: tuple[Offer, ...] = ()
    if result.cross is not None and end != SOLVED and layer is not None:
        offers = tuple(_offers(end, written.holds[-1], result.cross.opposite, layer, book))
    return Writeup(
        tokens=tokens,
        positions=written.positions,
        holds=written.holds,
        problem=problem,
        cross=cross,
        cross_at=written.tokens_after(cross_turn),
        pair_at=tuple(map(written.tokens_after, pair_turns)),
        oll=result.oll and result.oll.case,
        oll_at=written.tokens_after(result.oriented_turn),
        pll=result.pll and result.pll.case,
        pll_at=written.tokens_after(result.permuted_turn),
        is_solved=end == SOLVED,
        case=case,
        offers=offers,
        mix_up=_mix_up(scramble, written, result, book),
        mends=tuple(_mends(written)) if is_whole and end != SOLVED and problem is None else (),
    )


def _readable(text: str) -> tuple[tuple[Token, ...], NotationError | None]:
    """The tokens up to the first that cannot be read, and what is wrong with that."""
    first: NotationError | None = None
    while True:
        try:
            return parse_tokens(text), first
        except NotationError as error:
            first = first or error
            text = text[: min((error.column or 1) - 1, len(text) - 1)]


def _turned(tokens: tuple[Token, ...], start: Places, hold: Hold) -> _Written:
    positions, holds, runs = [start], [hold], []
    for token in tokens:
        script = parse_script(token.text, holds[-1])
        runs.append(script.turns)
        positions.append(after_turns(positions[-1], script.turns))
        holds.append(script.hold)
    return _Written(tokens, tuple(positions), tuple(holds), tuple(runs))


def _first_stages(
    written: _Written, result: Replay
) -> tuple[Face | None, int | None, tuple[int | None, ...]]:
    """The cross and its pairs: those of the replay, or of the colour that has come furthest."""
    if result.cross is not None:
        return result.cross, result.cross_turn, result.pair_turns
    turns = Turns(b"".join(written.turns))
    furthest = furthest_stages(walk(written.positions[0], turns))
    if furthest is None:
        return None, None, (None,) * 4
    pairs = tuple(turn if turn >= 0 else None for turn in furthest.pair_turns)
    return furthest.cross, furthest.cross_turn, pairs


def _case_of(layer: LastLayer) -> CaseId | None:
    """The case that an open last layer shows; None when it is done up to AUF."""
    if layer.oll != SKIP:
        return CaseId(OLL, layer.oll)
    return CaseId(Stage.PLL, layer.pll) if layer.pll not in (SKIP, None) else None


# --- Offers --------------------------------------------------------------------------------------


def _offers(
    places: Places, hold: Hold, last: Face, layer: LastLayer, book: Book
) -> Iterator[Offer]:
    """What could be written where ``layer`` lies open: the case's algorithms, then first steps."""
    top = next(text for text in _TO_TOP if parse_script(text, hold).hold[Face.U] is last)
    held = parse_script(top, hold).hold
    case = _case_of(layer)
    if case is None:
        auf = _last_auf(places, last)
        yield Offer(CaseId(Stage.PLL, SKIP), "", _spaced(top, auf), is_step=False)
        return
    stage = case.stage
    whole = (
        Offer(case, algorithm.text, _spaced(top, text), is_step=False)
        for algorithm in book.algorithms(case)
        for text in _lined_up(places, held, last, algorithm, partial(is_goal, stage))
    )
    yield from islice(whole, MAX_OFFERS)
    if not _has_step(stage, layer):
        return
    steps = (
        Offer(algorithm.case, algorithm.text, _spaced(top, text), is_step=True)
        for algorithm in sorted(book.of_stage(stage), key=lambda one: one.normal.htm)
        if algorithm.case != case
        for text in _lined_up(places, held, last, algorithm, partial(_is_step_done, stage))
    )
    yield from islice(steps, MAX_STEPS)


def _is_step_done(stage: Stage, layer: LastLayer) -> bool:
    return not _has_step(stage, layer)


def _has_step(stage: Stage, layer: LastLayer) -> bool:
    """Whether a first look would orient the edges, or place the corners."""
    if stage is OLL:
        return layer.edge_step is not EdgeStep.ORIENTED
    return layer.oll == SKIP and layer.permutation_step is not PermutationStep.NONE


def _lined_up(
    places: Places,
    hold: Hold,
    last: Face,
    algorithm: Algorithm,
    suits: Callable[[LastLayer], bool],
) -> Iterator[str]:
    """An algorithm after each AUF that makes it reach what ``suits``, and the last AUF after it.

    Where a case looks alike from several sides each is its own: they leave other permutations. Of
    those that leave none, the first alone.
    """
    for quarter_turns in _QUARTER_TURNS:
        text = _spaced(format_turns(layer_turn(Face.U, quarter_turns)), algorithm.text)
        end = after_turns(places, parse_script(text, hold).turns)
        if not f2l_pieces_home(end, last.opposite):
            continue
        layer = label(end, last)
        if suits(layer):
            if _case_of(layer) is None:
                yield _spaced(text, _last_auf(end, last))
                return
            yield text


def _last_auf(places: Places, last: Face) -> str:
    """The turn that lines a solved last layer up, as it is written with the layer up."""
    for quarter_turns in range(4):
        if after_turns(places, layer_turn(last, quarter_turns)) == SOLVED:
            return format_turns(layer_turn(Face.U, quarter_turns))
    return ""


def _spaced(*texts: str) -> str:
    return " ".join(filter(None, texts))


def _mix_up(scramble: str, written: _Written, result: Replay, book: Book) -> MixUp | None:
    """Of the last look, where it was another case's algorithm and no half of the stage."""
    looks: Sequence[Look] = (*(result.oll.looks if result.oll else ()),)
    looks = (*looks, *(result.pll.looks if result.pll else ()))
    if not looks or looks[-1].end != written.counts[-1]:
        return None
    look = looks[-1]
    if look.done is None or look.outcome not in (Outcome.MISFIRE, Outcome.STEP):
        return None
    n_before = written.tokens_after(look.start)
    before = format_tokens(written.tokens[:n_before])
    offers = read_writeup(scramble, before, book).offers
    right = [offer.text for offer in offers if offer.case == look.case and not offer.is_step]
    text = _spaced(before, right[0]) if right else ""
    return MixUp(met=look.case, written=look.done.case, text=text)


# --- Mends ---------------------------------------------------------------------------------------

_FACE_TURNS = tuple(make_turn(face, quarter) for face in Face for quarter in (1, 2, 3))


def _mends(written: _Written) -> Iterator[str]:
    """Solutions one change away that solve: a rotation before it, a turn more, less or another."""
    tokens, start = written.tokens, written.positions[0]
    rotation = hold_mend(start, Turns(b"".join(written.turns)), written.holds[0])
    if rotation is not None:
        yield _spaced(rotation, format_tokens(tokens))
    # From which position the tokens from the n-th on would solve the cube.
    wanted = [SOLVED]
    for turns in reversed(written.turns):
        wanted.append(after_turns(wanted[-1], inverse(turns)))
    wanted.reverse()
    for n in range(len(tokens) + 1):
        before, after = format_tokens(tokens[:n]), format_tokens(tokens[n:])
        for turn in _turns_between(written.positions[n], wanted[n]):
            yield _spaced(before, _named(turn, written.holds[n]), after)
        if n == len(tokens) or written.holds[n] != written.holds[n + 1]:
            continue
        after = format_tokens(tokens[n + 1 :])
        if written.positions[n] == wanted[n + 1]:
            yield _spaced(before, after)
        for turn in _turns_between(written.positions[n], wanted[n + 1]):
            yield _spaced(before, _named(turn, written.holds[n]), after)


def _turns_between(places: Places, wanted: Places) -> Iterator[int]:
    """The one turn that leads from a position to another, if one does."""
    for turn in _FACE_TURNS:
        if places.translate(TURN_TABLES[turn]) == wanted:
            yield turn


def _named(turn: int, hold: Hold) -> str:
    """A turn of the fixed frame as it is written in ``hold``."""
    return format_turns(renamed(run_of(_FACE_TURNS[turn]), hold.solver_table))
