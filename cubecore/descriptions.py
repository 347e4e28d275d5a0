"""An algorithm described: its length, its hands' work, its triggers, its mirror and its inverse."""

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from cubecore.algorithms import case_solved_by, prove_algorithm
from cubecore.cases import CaseId
from cubecore.notation import Metrics, Token, count_metrics, format_tokens, parse_tokens
from cubecore.turns import inverse

_MIRROR = {"R": "L", "L": "R", "r": "l", "l": "r"}
_KEPT_BY_MIRROR = "Mx"
_ACROSS = _MIRROR | {"F": "B", "B": "F", "f": "b", "b": "f"}
_TURNED_ACROSS = "MSxz"
WRIST_LIMIT = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Description:
    """What can be said of an algorithm.

    Attributes:
        metrics: Its length in the four metrics.
        n_wide: How many of its turns are wide.
        n_slices: How many are slices.
        n_grip_changes: How often a reader would count a change of grip; see `count_grip_changes`.
        read_out: Its named triggers and the turns between them, in order.
        mirror: It, seen in a mirror that swaps left and right.
        mirror_case: The case the mirror solves.
        inverse_case: The case that undoing it solves; never None for a proved algorithm.
        other_hand: The same turns of the same layer for the other hand, from the layer's far side.
    """

    metrics: Metrics
    n_wide: int
    n_slices: int
    n_grip_changes: int
    read_out: tuple[str, ...]
    mirror: str
    mirror_case: CaseId
    inverse_case: CaseId | None
    other_hand: str


@cache
def default_triggers() -> dict[str, tuple[str, ...]]:
    """The named runs of turns, as the spellings of their tokens."""
    text = files("cubecore").joinpath("tables/triggers.toml").read_text(encoding="utf-8")
    return {name: tuple(turns.split()) for name, turns in tomllib.loads(text)["triggers"].items()}


def read_out(
    tokens: Sequence[Token], triggers: Mapping[str, tuple[str, ...]] | None = None
) -> tuple[str, ...]:
    """The tokens with their triggers named, read from the left, the longest trigger first."""
    triggers_by_name = default_triggers() if triggers is None else triggers
    by_length = sorted(triggers_by_name.items(), key=lambda item: -len(item[1]))
    spelled = tuple(token.text for token in tokens)
    names: list[str] = []
    at = 0
    while at < len(spelled):
        for name, run in by_length:
            if run and spelled[at : at + len(run)] == run:
                names.append(name)
                at += len(run)
                break
        else:
            names.append(spelled[at])
            at += 1
    return tuple(names)


def mirror_tokens(tokens: Iterable[Token]) -> tuple[Token, ...]:
    """The tokens seen in a mirror that swaps left and right."""
    return tuple(
        Token(
            _MIRROR.get(token.base, token.base),
            token.quarter_turns if token.base in _KEPT_BY_MIRROR else 4 - token.quarter_turns,
            token.column,
        )
        for token in tokens
    )


def across_tokens(tokens: Iterable[Token]) -> tuple[Token, ...]:
    """The same turns named by a solver on the far side: right is left, front is back."""
    return tuple(
        Token(
            _ACROSS.get(token.base, token.base),
            4 - token.quarter_turns if token.base in _TURNED_ACROSS else token.quarter_turns,
            token.column,
        )
        for token in tokens
    )


def count_grip_changes(tokens: Iterable[Token]) -> int:
    """How often the grip changes (a rule of ours, no source).

    Each hand turns its own side (R and r the right, L and l the left) and its wrist follows. A
    wrist goes at most two quarter turns from where it took hold; the turn that would take it
    further, and every rotation, is a change of grip, after which the hand holds afresh. A half
    turn goes whichever way leaves the wrist nearer to the middle; from the middle it goes as R does
    with the right hand and as L' does with the left, so that an algorithm and its mirror count alike.
    """
    changes = 0
    wrists = {"R": 0, "L": 0}
    for token in tokens:
        if token.base in "xyz":
            changes += 1
            wrists = {"R": 0, "L": 0}
            continue
        hand = token.base.upper()
        if hand not in wrists:
            continue
        quarter_turns = token.quarter_turns if hand == "R" else 4 - token.quarter_turns
        after = _wrist_after(wrists[hand], quarter_turns)
        if abs(after) > WRIST_LIMIT:
            changes += 1
            after = _wrist_after(0, quarter_turns)
        wrists[hand] = after
    return changes


def _wrist_after(wrist: int, quarter_turns: int) -> int:
    """Where a wrist is after a turn, counted in quarter turns of R or, the left hand, of L'."""
    if quarter_turns == 2:
        return min(wrist + 2, wrist - 2, key=abs)
    return wrist + (1 if quarter_turns == 1 else -1)


def describe(text: str, triggers: Mapping[str, tuple[str, ...]] | None = None) -> Description:
    """The description of an algorithm.

    Raises:
        NotationError: ``text`` is not notation.
        AlgorithmError: It is no algorithm for any case.
    """
    proved = prove_algorithm(text)
    tokens = parse_tokens(text)
    mirror = format_tokens(mirror_tokens(tokens))
    return Description(
        metrics=count_metrics(tokens),
        n_wide=sum(token.base in "urfdlb" for token in tokens),
        n_slices=sum(token.base in "MES" for token in tokens),
        n_grip_changes=count_grip_changes(tokens),
        read_out=read_out(tokens, triggers),
        mirror=mirror,
        mirror_case=prove_algorithm(mirror).case,
        inverse_case=case_solved_by(inverse(proved.turns)),
        other_hand=format_tokens(across_tokens(tokens)),
    )
