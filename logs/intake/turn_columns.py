"""Which of the columns of turns holds the scrambles and which the solutions.

That the two texts of a row solve the cube together does not tell: whatever undoes a text is undone
by it. So all rows of the sample are asked both ways, by what tells the two apart; where that leaves
it open, or speaks against itself, it is left open. What is taken to tell them apart is common
practice, no source.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from statistics import median
from typing import NamedTuple

from cubecore.cube import SOLVED, after_turns, walk
from cubecore.errors import CubeError
from cubecore.notation import parse_script
from cubecore.stages import find_milestones
from cubecore.turns import Hold, Turns, joined, renamed

MAX_TURN_COLUMNS = 6
"""Columns of turns that are asked about; a file has two of them as a rule."""
MAX_CHARACTERS = 40_000
"""Characters of turns that are followed in one column, however many rows there are."""
_NOT_OF_FACES = frozenset("urfdlbMESxyzw")
_LAST_LAYER_TURNS = 4
"""A solve by layers has its first two layers home at least so many turns before its end."""
_SCRAMBLE_LENGTHS = (12, 30)
"""A scramble of a whole cube has more turns than a case's, fewer than a person's solution of it."""
_MIN_SHARE = 0.3
"""Share of rows from which on a sign speaks for one way ..."""
_MAX_AGAINST_SHARE = 0.1
"""... if no more than this share speaks for the other."""


class TurnCell(NamedTuple):
    """A cell of turns, followed.

    Attributes:
        turns: Its outer turns.
        hold: How the cube is held at its end.
        lengths: How many of its tokens move a layer, and how many it has in all.
        is_of_faces: Whether it has turns of faces alone: no rotation, wide turn or slice.
    """

    turns: Turns
    hold: Hold
    lengths: tuple[int, int]
    is_of_faces: bool


@dataclass(frozen=True, slots=True)
class TurnColumns:
    """The columns of turns, told apart as far as the rows tell.

    Attributes:
        scramble: The scrambles' column; None when that is open, or there is none.
        solution: The solutions' column, likewise.
        reason: Why, or why not.
        undecided: The columns of which it must be asked.
    """

    scramble: int | None = None
    solution: int | None = None
    reason: str = ""
    undecided: tuple[int, ...] = ()


class _Sign(NamedTuple):
    """In how many of ``n_rows`` something speaks for the first as the scramble, or for the second."""

    words: str
    n_first: int
    n_second: int
    n_rows: int

    @property
    def way(self) -> int:
        """1 where the first is the scramble, -1 where the second is, 0 where it does not tell."""
        for way, n_for, n_against in (
            (1, self.n_first, self.n_second),
            (-1, self.n_second, self.n_first),
        ):
            is_rare = n_against <= _MAX_AGAINST_SHARE * self.n_rows
            if n_for and n_for >= _MIN_SHARE * self.n_rows and is_rare:
                return way
        return 0


_Rows = Sequence[tuple[TurnCell | None, TurnCell | None]]


def tell_turn_columns(
    columns: Mapping[int, Sequence[str]],
    *,
    n_turn_times: Sequence[int] = (),
    names: Mapping[int, str] | None = None,
) -> TurnColumns:
    """Which of ``columns`` holds the scrambles, and which the solutions.

    Args:
        columns: The cells of each column of turns, one for each row, by the column's place.
        n_turn_times: How many turn times each row has; empty when the file has none.
        names: ``scramble`` or ``solution`` for a column that bears that name.
    """
    names = names or {}
    places = list(columns)[:MAX_TURN_COLUMNS]
    if not places:
        return TurnColumns()
    cells = {at: follow_column(columns[at]) for at in places}
    if len(places) == 1:
        return _single(places[0], cells[places[0]], names.get(places[0]))
    solved = {
        (first, second): sum(map(_solves, cells[first], cells[second]))
        for first, second in combinations(places, 2)
    }
    n_solved = max(solved.values())
    likely = [pair for pair, n in solved.items() if n == n_solved]
    if len(likely) > 1:
        reason = "Its cells are turns, and so are those of other columns: only you can say which."
        return TurnColumns(reason=reason, undecided=tuple(places))
    first, second = likely[0]
    rows = list(zip(cells[first], cells[second], strict=True))
    signs = _signs(rows, n_turn_times, (names.get(first), names.get(second)))
    return _decide(first, second, signs, n_solved)


def follow_column(cells: Sequence[str]) -> list[TurnCell | None]:
    """Each cell followed; None for one that is no turns, or lies beyond ``MAX_CHARACTERS``."""
    followed: list[TurnCell | None] = []
    n_characters = 0
    for cell in cells:
        n_characters += len(cell)
        followed.append(_follow(cell) if cell and n_characters <= MAX_CHARACTERS else None)
    return followed


def _follow(cell: str) -> TurnCell | None:
    try:
        script = parse_script(cell)
    except CubeError:
        return None
    return TurnCell(
        turns=script.turns,
        hold=script.hold,
        lengths=(script.n_layer_tokens, script.n_tokens),
        is_of_faces=_NOT_OF_FACES.isdisjoint(cell.partition("//")[0]),
    )


def _solves(first: TurnCell | None, second: TurnCell | None) -> bool:
    if first is None or second is None:
        return False
    begun_there = renamed(second.turns, first.hold.turn_table)
    return after_turns(SOLVED, joined(first.turns, begun_there)) == SOLVED


def _single(at: int, cells: Sequence[TurnCell | None], name: str | None) -> TurnColumns:
    """A column that is alone: scrambles, unless it bears the other name or looks like solutions."""
    followed = [cell for cell in cells if cell is not None]
    if name == "solution":
        return TurnColumns(solution=at, reason="Its cells are turns, under the name we use.")
    n_odd = sum(not cell.is_of_faces for cell in followed)
    is_long = bool(followed) and median(cell.lengths[0] for cell in followed) > _SCRAMBLE_LENGTHS[1]
    if (n_odd > 1 and n_odd >= _MIN_SHARE * len(followed)) or is_long:
        reason = "Its cells are turns, and look more like solutions than scrambles."
        return TurnColumns(reason=reason, undecided=(at,))
    return TurnColumns(scramble=at, reason="Its cells are turns.")


def _signs(
    rows: _Rows, n_turn_times: Sequence[int], names: tuple[str | None, str | None]
) -> list[_Sign]:
    """All that may tell the two columns of ``rows`` apart."""
    both = [(first, second) for first, second in rows if first and second]
    n_first, n_second = (sum(not pair[at].is_of_faces for pair in both) for at in (1, 0))
    signs = [
        _Sign("it is named so", names[0] == "scramble", names[0] == "solution", 1),
        _Sign("it is named so", names[1] == "solution", names[1] == "scramble", 1),
        _count("only the solutions go by layers", both, _goes_by_layers),
        _count("the solutions are the longer ones", both, _is_longer),
    ]
    if max(n_first, n_second) > 1:  # a single one is a slip of the pen
        words = "only the solutions have rotations, wide turns or slices"
        signs.append(_Sign(words, n_first, n_second, len(both)))
    timed = [
        (first, second, n)
        for (first, second), n in zip(rows, n_turn_times, strict=False)
        if first and second and n
    ]
    fits = [(n in first.lengths, n in second.lengths) for first, second, n in timed]
    words = "the solutions have as many turns as there are turn times"
    signs.append(_Sign(words, fits.count((False, True)), fits.count((True, False)), len(fits)))
    return signs


def _count(
    words: str,
    rows: Sequence[tuple[TurnCell, TurnCell]],
    is_so: Callable[[TurnCell, TurnCell], bool],
) -> _Sign:
    """In how many rows ``is_so`` one way and not the other."""
    ways = [(is_so(first, second), is_so(second, first)) for first, second in rows]
    return _Sign(words, ways.count((True, False)), ways.count((False, True)), len(rows))


def _goes_by_layers(scramble: TurnCell, solution: TurnCell) -> bool:
    """Whether the solution has two layers home on its way, which the scramble left undone."""
    if not _solves(scramble, solution):
        return False
    start = after_turns(SOLVED, scramble.turns)
    milestones = find_milestones(list(walk(start, solution.turns)))
    if milestones is None:
        return False
    return 0 < milestones.f2l_turn <= len(solution.turns) - _LAST_LAYER_TURNS


def _is_longer(scramble: TurnCell, solution: TurnCell) -> bool:
    least, most = _SCRAMBLE_LENGTHS
    return least <= scramble.lengths[0] <= most < solution.lengths[0]


def _decide(first: int, second: int, signs: Sequence[_Sign], n_solved: int) -> TurnColumns:
    how = f"in {n_solved} of the first rows the two together solve the cube"
    if not n_solved:
        how = "another column holds turns too, and no row shows which undoes which"
    ways = {sign.way for sign in signs} - {0}
    if len(ways) != 1:
        reason = f"Its cells are turns; {how}. Which are the scrambles only you can say."
        return TurnColumns(reason=reason, undecided=(first, second))
    words = next(sign.words for sign in signs if sign.way)
    scramble, solution = (first, second) if ways == {1} else (second, first)
    return TurnColumns(scramble, solution, f"Its cells are turns; {how}, and {words}.")
