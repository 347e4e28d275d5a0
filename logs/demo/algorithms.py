"""The algorithms a member can know: the tables' texts, read with the demo's own cube."""

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from logs.demo.cube import SOLVED, Mover, Outer, along, mover, outer_turns

CaseName = tuple[str, int | str]
"""Stage (``oll`` or ``pll``) and number or letters."""


@dataclass(frozen=True)
class Entry:
    """One algorithm of the tables.

    Attributes:
        case: The case it is entered for.
        family: The group the case is taught with.
        text: Its spelling in the tables.
        tokens: The same as tokens.
        name: The text under which a reader of turns finds it: that of the first entry which
            turns the same faces.
        move: What it does to a state.
    """

    case: CaseName
    family: str
    text: str
    tokens: tuple[str, ...]
    name: str
    move: Mover


def undone(tokens: Iterable[str]) -> list[str]:
    """Tokens that undo ``tokens``."""
    swap = {"'": "", "2": "2", "": "'"}
    return [token[0] + swap[token[1:]] for token in reversed(list(tokens))]


def turns_of(tokens: Iterable[str]) -> list[Outer]:
    """The outer turns of ``tokens``, begun on a cube held white up, green front."""
    state = SOLVED
    turns: list[Outer] = []
    for token in tokens:
        turns += outer_turns(state, token)
        state = mover(token)(state)
    return turns


_ROUND = {0: 0, 3: 3, 1: 2, 2: 4, 4: 5, 5: 1}


def signature(turns: Iterable[Outer]) -> tuple[tuple[Outer, ...], ...]:
    """What two runs of turns share when they turn the same faces of a layer held up.

    Neighbours of one face are added up, opposite faces taken together, turns of the upper layer at
    both ends dropped, and of the four ways to stand the layer the least is taken.
    """
    blocks: list[dict[int, int]] = []
    for face, quarters in turns:
        if not blocks or next(iter(blocks[-1])) % 3 != face % 3:
            blocks.append({})
        blocks[-1][face] = (blocks[-1].get(face, 0) + quarters) % 4
        if not blocks[-1][face]:
            del blocks[-1][face]
            if not blocks[-1]:
                blocks.pop()
    for end in (-1, 0):
        if blocks:
            blocks[end].pop(0, None)
            if not blocks[end]:
                blocks.pop(end)
    forms = []
    for _ in range(4):
        forms.append(tuple(tuple(sorted(block.items())) for block in blocks))
        blocks = [{_ROUND[face]: q for face, q in block.items()} for block in blocks]
    return min(forms)


def n_turns(turns: Iterable[Outer]) -> int:
    """How many turns a hand makes of them: neighbours of one face, or of two opposite, run on."""
    runs: list[set[int]] = []
    for face, _ in turns:
        if not runs or next(iter(runs[-1])) % 3 != face % 3:
            runs.append(set())
        runs[-1].add(face)
    return sum(map(len, runs))


@cache
def entries() -> dict[CaseName, tuple[Entry, ...]]:
    """Every case's algorithms, in the tables' order."""
    found: dict[CaseName, tuple[Entry, ...]] = {}
    names: dict[object, str] = {}
    for stage in ("oll", "pll"):
        table = files("cubecore").joinpath(f"tables/{stage}.toml").read_text(encoding="utf-8")
        for row in tomllib.loads(table)["cases"]:
            case = (stage, row["number"])
            found[case] = tuple(
                _entry(case, row["family"], text, names) for text in row["algorithms"]
            )
    return found


def _entry(case: CaseName, family: str, text: str, names: dict[object, str]) -> Entry:
    tokens = tuple(text.split())
    name = names.setdefault(signature(turns_of(tokens)), text)
    return Entry(case, family, text, tokens, name, along(tokens))


@cache
def by_signature() -> dict[object, Entry]:
    """The entries by what they turn."""
    found: dict[object, Entry] = {}
    for group in entries().values():
        for entry in group:
            found.setdefault(signature(turns_of(entry.tokens)), entry)
    return found


def entry_of(text: str) -> Entry:
    """The entry spelled ``text``."""
    return next(e for group in entries().values() for e in group if e.text == text)
