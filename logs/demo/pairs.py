"""Pairs by triggers: for each slot the cheapest row of AUFs and triggers, from a table."""

from collections.abc import Iterable
from functools import cache
from heapq import heappop, heappush
from typing import NamedTuple

from logs.demo.cube import PLACES, State, along, centre, mover, spell, split, stickers_at

# Slots by how many ``y`` bring them to the front right: front right, back right, back left, front
# left.
SLOTS = (0, 1, 2, 3)
_TRIGGERS = (
    ("R", "U", "R'"),
    ("R", "U'", "R'"),
    ("R", "U2", "R'"),
    ("F'", "U", "F"),
    ("F'", "U'", "F"),
    ("F'", "U2", "F"),
    ("R'", "F", "R", "F'"),
    ("F", "R'", "F'", "R"),
)
_BEHIND = {"R": "B", "F": "R", "L": "F", "B": "L"}
_CORNER, _EDGE = (1, -1, 1), (1, 0, 1)
_CORNER_SPOTS = [n for n, (place, _) in enumerate(PLACES) if sum(map(abs, place)) == 3]
_EDGE_SPOTS = [n for n, (place, _) in enumerate(PLACES) if sum(map(abs, place)) == 2]
_CORNER_HOME, _EDGE_HOME = 29, 23
"""The lower sticker of the front right corner, the front sticker of the edge above it."""
_MATES = {n: [m for m in stickers_at(PLACES[n][0]) if m != n] for n in range(54)}


class Action(NamedTuple):
    """An AUF and a trigger, as they are named with the pair's slot at the front right."""

    auf: str
    trigger: tuple[str, ...]
    slot: int
    cost: float


class Pair(NamedTuple):
    """Where a pair lies: its corner's lower colour and its edge's front colour."""

    corner: int
    edge: int


def renamed(tokens: Iterable[str], steps: int) -> tuple[str, ...]:
    """``tokens`` of the hold after ``steps`` times ``y``, as they are named before it."""
    out = []
    for token in tokens:
        letter, quarters = split(token)
        for _ in range(steps % 4):
            letter = _BEHIND.get(letter, letter)
        out.append(spell(letter, quarters))
    return tuple(out)


def _actions(open_slots: frozenset[int]) -> list[Action]:
    return [
        Action(spell("U", auf), renamed(trigger, slot), slot, _cost(auf, trigger, slot))
        for slot in sorted(open_slots | {0})
        for trigger in _TRIGGERS
        for auf in range(4)
    ]


def _cost(auf: int, trigger: tuple[str, ...], slot: int) -> float:
    return len(trigger) + bool(auf) + 0.7 * (slot != 0) + 0.8 * (len(trigger) == 4)


@cache
def _came_from(tokens: tuple[str, ...]) -> State:
    """For each place the place from which ``tokens`` bring what lies there."""
    return along(tokens)(tuple(range(54)))


@cache
def _plans(open_slots: frozenset[int]) -> dict[Pair, tuple[float, Action | None]]:
    """For each place of a pair its cost and the first action, by Dijkstra's search from home."""
    actions = [
        (action, _came_from(((action.auf,) if action.auf else ()) + action.trigger))
        for action in _actions(open_slots)
    ]
    home = Pair(_CORNER_HOME, _EDGE_HOME)
    found: dict[Pair, tuple[float, Action | None]] = {}
    queue: list[tuple[float, int, Pair, Action | None]] = [(0.0, 0, home, None)]
    pushed = 0
    while queue:
        cost, _, pair, first = heappop(queue)
        if pair in found:
            continue
        found[pair] = (cost, first)
        for action, source in actions:
            before = Pair(source[pair.corner], source[pair.edge])
            if before not in found:
                pushed += 1
                heappush(queue, (cost + action.cost, pushed, before, action))
    return found


def _pair_of(state: State, slot: int) -> Pair:
    """Where the pair of ``slot`` lies, seen from the hold that has the slot at the front right."""
    if slot:
        state = mover(spell("y", slot))(state)
    down, front, right = (centre(state, face) for face in "DFR")
    corner = next(
        n
        for n in _CORNER_SPOTS
        if state[n] == down and {state[m] for m in _MATES[n]} == {front, right}
    )
    edge = next(n for n in _EDGE_SPOTS if state[n] == front and state[_MATES[n][0]] == right)
    return Pair(corner, edge)


def open_slots(state: State) -> list[int]:
    """The slots whose pair is not home."""
    return [slot for slot in SLOTS if _pair_of(state, slot) != (_CORNER_HOME, _EDGE_HOME)]


def plan(state: State, slot: int) -> tuple[float, Action]:
    """The cost of the pair of an open slot and the first action towards it."""
    others = frozenset((other - slot) % 4 for other in open_slots(state)) - {0}
    cost, action = _plans(others)[_pair_of(state, slot)]
    assert action is not None, "an open slot needs an action"
    return cost, action
