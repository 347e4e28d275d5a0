"""Last-layer cases: the tables, and the label of a position whose first two layers are home."""

import tomllib
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from itertools import permutations, product
from typing import NamedTuple, NewType, cast

from cubecore.caching import typed_cache
from cubecore.cube import PLACES, SOLVED, TURN_TABLES, Places, after_turns, hold_table
from cubecore.errors import CaseNameError
from cubecore.notation import parse_script
from cubecore.turns import Face, Table, hold_with_up, inverse, make_turn, turn_axis
from cubecore.words import Word

LastLayerKey = NewType("LastLayerKey", bytes)
"""A last layer as the engine handles it: the places of the eight last-layer-coloured stickers, named
with that layer up (`cube.PLACES` 0-7 are on top), edges first, pieces in the order of `cube`."""
Pattern = NewType("Pattern", bytes)
"""How the pieces in the eight slots are twisted, edges first: what the OLL case hangs on."""
SOLVED_KEY = LastLayerKey(SOLVED[:8])
LAYERS = tuple(slice(8 * face, 8 * face + 8) for face in Face)
TO_UP = tuple(hold_table(hold_with_up(face)) for face in Face)
# Called seven times a solve: without a step in Python between.
renamed_key = cast("Callable[[bytes, Table], LastLayerKey]", bytes.translate)


class Stage(Word):
    """The two stages of the last layer."""

    OLL = "oll"
    PLL = "pll"

    @property
    def chances_in(self) -> int:
        """The sum of the chances of all its cases and the skip: 216 or 72."""
        return 216 if self is Stage.OLL else 72


OLL, PLL = Stage.OLL, Stage.PLL  # a member of an enumeration is slow to look up


class EdgeStep(Word):
    """How many last-layer edges face up, and how they lie."""

    DOT = "dot"
    ANGLE = "angle"
    BAR = "bar"
    ORIENTED = "oriented"


class PermutationStep(Word):
    """How the last-layer corners lie to one another, whichever way they face."""

    NONE = "none"
    ADJACENT = "adjacent"
    DIAGONAL = "diagonal"


class CaseId(NamedTuple):
    """A case by stage and number (OLL 1-57) or letters (PLL Aa-Z); ``skip`` for none."""

    stage: Stage
    number: int | str

    def __str__(self) -> str:
        """The case as people write it, such as ``OLL 27`` or ``PLL T``; `parse` reads it back."""
        return f"{self.stage.upper()} {self.number}"

    @property
    def text(self) -> str:
        """Its number or letters as text; with the stage's value, `read` makes the id of it again."""
        return str(self.number)

    @classmethod
    def read(cls, stage: str, number: str) -> "CaseId":
        """The id of the two texts ``oll`` or ``pll``, and a number, letters or ``skip``.

        Raises:
            CaseNameError: There is no such case.
        """
        case = _IDS.get((stage, number))
        if case is None:
            raise CaseNameError(f"{stage} {number}")
        return case

    @classmethod
    def parse(cls, text: str) -> "CaseId":
        """The id that ``text`` names, in any letter case: ``27``, ``OLL 27``, ``T``, ``pll skip``.

        Raises:
            CaseNameError: No case has that name.
        """
        words = text.upper().split()
        for case in _IDS.values():
            name = str(case).upper().split()
            if words == name or (words == name[1:] and case.number != SKIP):
                return case
        raise CaseNameError(text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One case of the tables.

    Attributes:
        id: Stage and number.
        name: Everyday name of an OLL, empty for a PLL, whose letter is its name.
        family: The group it is taught with.
        algorithms: Its standard algorithms; the first sets the hold that angles count from.
        chance: Its share of all last layers, in 216 (OLL) or 72 (PLL).
        n_angles: In how many angles it can be met: 4 less its own symmetry.
        key: The case, met at angle 0.
    """

    id: CaseId
    name: str
    family: str
    algorithms: tuple[str, ...]
    chance: int
    n_angles: int
    key: LastLayerKey

    def __str__(self) -> str:
        """The case as people write it, number first: ``OLL 27 Sune``, ``PLL T``."""
        return f"{self.id} {self.name}".strip()


@dataclass(frozen=True, slots=True, kw_only=True)
class LastLayer:
    """What a last layer shows.

    Attributes:
        oll: The OLL case number, or ``"skip"`` when every sticker is up.
        oll_angle: Clockwise quarter turns of the layer that bring it to the case's reference hold.
        pll: The PLL letters once oriented, ``"skip"`` when solved up to AUF; None before.
        pll_angle: As ``oll_angle``.
        edge_step: The edges' part of the orientation.
        corner_step: The corners' part: the number (21-27) of the OLL that has these corners and
            all edges up, 0 when all corners are up.
        permutation_step: The corners' permutation.
        position: Number of the whole last layer, the same for all AUF and holds; 0 is solved.
    """

    oll: int | str
    oll_angle: int
    pll: str | None
    pll_angle: int | None
    edge_step: EdgeStep
    corner_step: int
    permutation_step: PermutationStep
    position: int


SKIP = "skip"
_AUF = tuple(make_turn(Face.U, q) for q in (1, 2, 3))
_AUF_TABLES = (bytes(range(256)), *(TURN_TABLES[turn] for turn in _AUF))


def _slot_and_twist() -> tuple[bytes, bytes]:
    """For each place: which of its kind's four slots it is in, and how it is twisted there.

    An edge up is 0 and flipped 1; a corner up is 0, else 1 or 2 by the sense of its twist.
    """
    slots, twists = bytearray(256), bytearray(256)
    for top in range(8):
        piece, _ = PLACES[top]
        sides = [n for n, (other, _) in enumerate(PLACES) if other == piece and n != top]
        clockwise = turn_axis(Face.U.normal, PLACES[sides[0]][1])
        if len(sides) == 2 and clockwise != PLACES[sides[1]][1]:
            sides.reverse()
        for twist, place in enumerate([top, *sides]):
            slots[place], twists[place] = top % 4, twist
    return bytes(slots), bytes(twists)


_SLOT, _TWIST = _slot_and_twist()


def _pattern(key: LastLayerKey) -> Pattern:
    slots, twists = key.translate(_SLOT), key.translate(_TWIST)
    pattern = bytearray(8)
    for piece in range(4):
        pattern[slots[piece]] = twists[piece]
        pattern[4 + slots[piece + 4]] = twists[piece + 4]
    return Pattern(bytes(pattern))


def _turned(key: LastLayerKey, quarter_turns: int) -> LastLayerKey:
    """``key`` after the layer turns: an AUF."""
    return LastLayerKey(key.translate(_AUF_TABLES[quarter_turns % 4]))


def _renamed(key: LastLayerKey, pieces: int) -> LastLayerKey:
    """``key`` with its pieces renamed a step round: an AUF before, seen from another hold."""
    cut = 4 - pieces
    return LastLayerKey(key[cut:4] + key[:cut] + key[4 + cut :] + key[4 : 4 + cut])


def last_layer_key(places: Places, last: Face) -> LastLayerKey:
    """The key of the layer ``last`` of a position."""
    return renamed_key(places[LAYERS[last]], TO_UP[last])


def _case_key(algorithm: str) -> LastLayerKey:
    """What ``algorithm`` solves, as it is held when the algorithm starts."""
    script = parse_script(algorithm)
    return last_layer_key(after_turns(SOLVED, inverse(script.turns)), Face.U)


def _oll_angles(key: LastLayerKey) -> dict[Pattern, int]:
    """Every pattern of an OLL case, with its angle."""
    angles: dict[Pattern, int] = {}
    for angle in range(4):
        angles.setdefault(_pattern(_turned(key, -angle)), angle)
    return angles


def _pll_angles(key: LastLayerKey) -> dict[LastLayerKey, int]:
    """Every key of a PLL case, with its angle."""
    angles: dict[LastLayerKey, int] = {}
    for angle, pieces in product(range(4), repeat=2):
        angles.setdefault(_renamed(_turned(key, -angle), pieces), angle)
    return angles


def _read_table(stage: Stage) -> dict[CaseId, Case]:
    text = files("cubecore").joinpath(f"tables/{stage}.toml").read_text(encoding="utf-8")
    cases = {}
    for entry in tomllib.loads(text)["cases"]:
        case_id = CaseId(stage, entry["number"])
        algorithms = tuple(entry["algorithms"])
        key = _case_key(algorithms[0])
        # A PLL case has 4 keys a chance in 72 of 288 permutations; an OLL case a pattern in 216.
        of_oll, of_pll = _oll_angles(key), _pll_angles(key)
        angles = [*of_oll.values()] if stage is Stage.OLL else [*of_pll.values()]
        chance = len(of_oll) if stage is Stage.OLL else len(of_pll) // 4
        cases[case_id] = Case(
            id=case_id,
            name=entry.get("name", ""),
            family=entry["family"],
            algorithms=algorithms,
            chance=chance,
            n_angles=max(angles) + 1,
            key=key,
        )
    return cases


CASES: dict[CaseId, Case] = {**_read_table(Stage.OLL), **_read_table(Stage.PLL)}
_IDS: dict[tuple[str, str], CaseId] = {
    (case.stage.value, case.text): case
    for case in (*CASES, *(CaseId(stage, SKIP) for stage in Stage))
}
_OLL_BY_PATTERN: dict[Pattern, tuple[int | str, int]] = {Pattern(bytes(8)): (SKIP, 0)} | {
    pattern: (case.id.number, angle)
    for case in CASES.values()
    if case.id.stage is Stage.OLL
    for pattern, angle in _oll_angles(case.key).items()
}
_PLL_BY_KEY = {_turned(SOLVED_KEY, n): (SKIP, 0) for n in range(4)} | {
    key: (str(case.id.number), angle)
    for case in CASES.values()
    if case.id.stage is Stage.PLL
    for key, angle in _pll_angles(case.key).items()
}
_CORNER_STEP = {
    pattern[4:]: number if isinstance(number, int) else 0
    for pattern, (number, _) in _OLL_BY_PATTERN.items()
    if not any(pattern[:4])
}
_RANK = {bytes(order): rank for rank, order in enumerate(permutations(range(4)))}


def _edge_step(pattern: Pattern) -> EdgeStep:
    flipped = pattern[:4]
    if sum(flipped) == 2:
        return EdgeStep.BAR if flipped[0] == flipped[2] else EdgeStep.ANGLE
    return EdgeStep.DOT if sum(flipped) else EdgeStep.ORIENTED


def _permutation_step(key: LastLayerKey) -> PermutationStep:
    slots = key[4:].translate(_SLOT)
    steps = {(slots[(i + 1) % 4] - slots[i]) % 4 for i in range(4)}
    if steps == {1}:
        return PermutationStep.NONE
    return PermutationStep.DIAGONAL if steps == {3} else PermutationStep.ADJACENT


def _number(key: LastLayerKey) -> int:
    """A number of ``key``, mixed radix: corner order, edge order, corner twists, edge flips."""
    slots, twists = key.translate(_SLOT), key.translate(_TWIST)
    number = _RANK[slots[4:]] * 24 + _RANK[slots[:4]]
    for twist in twists[4:]:
        number = number * 3 + twist
    for flip in twists[:4]:
        number = number * 2 + flip
    return number


@cache
def _positions() -> dict[LastLayerKey, int]:
    """Canonical numbers by key; filled an orbit of 16 at a time."""
    return {}


def _orbit(key: LastLayerKey) -> list[LastLayerKey]:
    """The keys that are ``key`` but for AUF and hold."""
    return [_turned(_renamed(key, a), b) for a in range(4) for b in range(4)]


def least_key(key: LastLayerKey) -> LastLayerKey:
    """The same key for all that are ``key`` but for AUF and hold."""
    return min(_orbit(key))


def _position(key: LastLayerKey) -> int:
    numbers = _positions()
    if key not in numbers:
        orbit = _orbit(key)
        numbers.update(dict.fromkeys(orbit, min(map(_number, orbit))))
    return numbers[key]


@typed_cache()
def label_key(key: LastLayerKey) -> LastLayer:
    """The label of a last layer; there are 62,208 keys at most, each labelled once.

    Raises:
        KeyError: ``key`` is no last layer that turns can reach.
    """
    pattern = _pattern(key)
    oll, oll_angle = _OLL_BY_PATTERN[pattern]
    pll, pll_angle = _PLL_BY_KEY[key] if oll == SKIP else (None, None)
    return LastLayer(
        oll=oll,
        oll_angle=oll_angle,
        pll=pll,
        pll_angle=pll_angle,
        edge_step=_edge_step(pattern),
        corner_step=_CORNER_STEP[pattern[4:]],
        permutation_step=_permutation_step(key),
        position=_position(key),
    )


def label(places: Places, last: Face = Face.U) -> LastLayer:
    """The label of the layer ``last`` in a position whose first two layers are home."""
    return label_key(renamed_key(places[LAYERS[last]], TO_UP[last]))


def case_at_angle(case: Case, angle: int) -> LastLayerKey:
    """The last layer of ``case`` when it is met at ``angle``."""
    return _turned(case.key, -angle)


def recoloured(case: Case, steps: int) -> Case:
    """The same case with the colours of its sides so many steps round: an AUF before it."""
    return replace(case, key=_renamed(case.key, steps % 4))


def homeward(key: LastLayerKey) -> dict[int, int]:
    """For each top place of a layer, the place where the piece lying there belongs.

    AUF aside: of the four ways to line the layer up the one that moves fewest pieces is meant, of
    several one in threes (the two three-cycles of a G), then the least turned.
    """
    turned = min(range(4), key=lambda n: _arrow_cost(_turned(key, n)))
    belongs = _turned(SOLVED_KEY, -turned)
    lies = _on_top(key)
    return dict(zip(lies, belongs, strict=True))


def _on_top(key: LastLayerKey) -> bytes:
    """The top places of the slots that the pieces lie in."""
    return key[:4].translate(_SLOT) + bytes(4 + slot for slot in key[4:].translate(_SLOT))


def _arrow_cost(key: LastLayerKey) -> tuple[int, bool]:
    """How many pieces are not home, and whether they move otherwise than in threes."""
    moved = [place != home for place, home in zip(_on_top(key), SOLVED_KEY, strict=True)]
    return sum(moved), sum(moved[4:]) != 3


def find_case(text: str) -> Case:
    """The case that ``text`` names: ``27``, ``OLL 27``, ``T``, ``pll ga``.

    Raises:
        CaseNameError: No case has that name; the message lists what there is.
    """
    case = CASES.get(CaseId.parse(text))
    if case is None:
        raise CaseNameError(text)
    return case
