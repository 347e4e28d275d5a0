"""A log's turns read plainly: what is one turn, what nobody sees, and whose algorithm a run is.

It shares no code with the engine but the tables' texts of the algorithms.
"""

from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from cubecore.cases import CASES
from tests.cubecore import twin
from tests.cubecore.solves import outer

AMOUNT = {"": 1, "2": 2, "'": 3}
SUFFIX = ("", "", "2", "'")
AXIS = {"U": "UD", "D": "UD", "R": "RL", "L": "RL", "F": "FB", "B": "FB"}
SIDES = "FRBL"


# --- Turns -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Move:
    """A turn as it is read: its token, when it ended, and how many of the log's turns it is."""

    token: str
    end: int | None
    count: int


def is_coarse(ends: list[int]) -> bool:
    """Whether three in four gaps are whole tenths or eighths of a second, of four gaps at least."""
    gaps = [b - a for a, b in pairwise(ends) if b > a]
    whole = [gap for gap in gaps if gap % 100 == 0 or gap % 125 == 0]
    return len(gaps) >= 4 and len(whole) >= 0.75 * len(gaps)


def median_gap(ends: list[int]) -> int | None:
    """The lower middle of the gaps between turns that did not end together."""
    gaps = sorted(b - a for a, b in pairwise(ends) if b > a)
    return gaps[(len(gaps) - 1) // 2] if gaps else None


def read_moves(tokens: list[str], ends: list[int] | None) -> list[Move]:
    """The turns, those of one face that end at one time being one turn."""
    if ends is None:
        return [Move(token, None, n) for n, token in enumerate(tokens, start=1)]
    moves: list[Move] = []
    begin = 0
    while begin < len(tokens):
        end = begin + 1
        while (
            end < len(tokens)
            and ends[end] == ends[begin]
            and tokens[end][0] in AXIS[tokens[begin][0]]
        ):
            end += 1
        amounts: dict[str, int] = {}
        for token in tokens[begin:end]:
            amounts[token[0]] = (amounts.get(token[0], 0) + AMOUNT[token[1:]]) % 4
        moves += [
            Move(face + SUFFIX[amount], ends[begin], end)
            for face, amount in amounts.items()
            if amount
        ]
        begin = end
    return moves


def unseen(moves: list[Move], median: float | None) -> set[int]:
    """After how many moves a slice or a half turn is half done."""
    hidden: set[int] = set()
    if median is None:
        return hidden
    tied = {
        n
        for n in range(1, len(moves))
        if moves[n].end == moves[n - 1].end and moves[n].token[0] in AXIS[moves[n - 1].token[0]]
    }
    hidden |= tied
    if any(move.token.endswith("2") for move in moves):
        return hidden
    for n in range(1, len(moves)):
        gap = (moves[n].end or 0) - (moves[n - 1].end or 0)
        if not 0 < gap < median:
            continue
        is_again = moves[n].token == moves[n - 1].token
        is_slice_again = (
            1 < n < len(moves) - 1
            and {n - 1, n + 1} <= tied
            and {moves[n - 2].token, moves[n - 1].token} == {moves[n].token, moves[n + 1].token}
        )
        if is_again or is_slice_again:
            hidden.add(n)
    return hidden


def normal(tokens: list[str]) -> tuple[str, ...]:
    """A run as any spelling of it has it: neighbours added up, AUF stripped, the layer's rotation."""
    run = [(token[0], AMOUNT[token[1:]]) for token in tokens]
    changed = True
    while changed:
        changed = False
        for n in range(len(run) - 1):
            (a, i), (b, j) = run[n], run[n + 1]
            if a == b:
                run[n : n + 2] = [(a, (i + j) % 4)] if (i + j) % 4 else []
                changed = True
                break
            if b in AXIS[a] and a > b:
                run[n : n + 2] = [(b, j), (a, i)]
                changed = True
                break
    run = _without_auf(_without_auf(run)[::-1])[::-1]
    turned = []
    for by in range(4):
        names = {"U": "U", "D": "D"} | {s: SIDES[(n + by) % 4] for n, s in enumerate(SIDES)}
        again = sorted_by_axis([(names[face], amount) for face, amount in run])
        turned.append(tuple(face + SUFFIX[amount] for face, amount in again))
    return min(turned)


def sorted_by_axis(run: list[tuple[str, int]]) -> list[tuple[str, int]]:
    for n in range(len(run) - 1):
        if run[n + 1][0] in AXIS[run[n][0]] and run[n][0] > run[n + 1][0]:
            run[n], run[n + 1] = run[n + 1], run[n]
    return run


def _without_auf(run: list[tuple[str, int]]) -> list[tuple[str, int]]:
    """Without a turn of the last layer in front, or right behind a turn of the face opposite it."""
    if run and run[0][0] == "U":
        return run[1:]
    if len(run) > 1 and run[0][0] == "D" and run[1][0] == "U":
        return [run[0], *run[2:]]
    return run


def n_turns(tokens: list[str]) -> int:
    """The face turns a hand made: of one axis in a row, each face once."""
    total, faces = 0, ""
    for token in tokens:
        if not faces or token[0] not in AXIS[faces[0]]:
            faces = ""
        if token[0] not in faces:
            faces += token[0]
            total += 1
    return total


# --- The book --------------------------------------------------------------------------------------


@cache
def recogniser() -> twin.Recogniser:
    return twin.Recogniser(
        {(c.id.stage.value, str(c.id.number)): c.algorithms[0] for c in CASES.values()}
    )


@cache
def book() -> dict[tuple[str, ...], tuple[str, str, int]]:
    """For each algorithm its case and its length."""
    entries: dict[tuple[str, ...], tuple[str, str, int]] = {}
    for case in CASES.values():
        for text in case.algorithms:
            turns = outer(text).split()
            key = (case.id.stage.value, str(case.id.number), n_turns(list(normal(turns))))
            entries.setdefault(normal(turns), key)
    return entries


@cache
def cut_orientations() -> set[tuple[int, tuple[str, ...]]]:
    """The book's algorithms for OLLs without their first turn, by length and spelling."""
    texts = [t for c in CASES.values() if c.id.stage == "oll" for t in c.algorithms]
    cut = [outer(text).split()[1:] for text in texts]
    return {(n_turns(run), normal(run)) for run in cut}


def whose(tokens: list[str]) -> tuple[str, str] | None:
    """The case whose algorithm of the book a run is, with as many turns as were made."""
    entry = book().get(normal(tokens))
    return entry[:2] if entry is not None and entry[2] == n_turns(tokens) else None
