"""Algorithms: the normal form two spellings share, what one does, and the proof of an entry."""

from dataclasses import dataclass
from typing import NamedTuple

from cubecore.caching import typed_cache
from cubecore.cases import CASES, SKIP, CaseId, LastLayer, Stage, label
from cubecore.cube import PIECES, SOLVED, Places, after_turns
from cubecore.errors import AlgorithmError
from cubecore.notation import Script, format_tokens, parse_script, parse_tokens
from cubecore.turns import (
    HOME_HOLD,
    Face,
    Turns,
    each_turn,
    face_of,
    hold_with_up,
    inverse,
    quarter_turns_of,
    renamed,
)

_TURNED_LAYER = tuple(HOME_HOLD.rotated(Face.U, q).turn_table for q in range(4))
# For each last-layer face: fixed-frame turns as they are named with that face up.
TURNS_TO_UP = tuple(hold_with_up(face).solver_table for face in Face)


class Normal(NamedTuple):
    """A run of turns in normal form.

    Attributes:
        form: The turns merged, AUF stripped, the least of the layer's four rotations.
        htm: Its length in face turns.
    """

    form: Turns
    htm: int


def _merged(turns: Turns) -> list[dict[Face, int]]:
    """The turns as blocks of one axis each, quarter turns added up, nothing-turns gone."""
    blocks: list[dict[Face, int]] = []
    for turn in each_turn(turns):
        face, amount = face_of(turn), quarter_turns_of(turn)
        if not blocks or next(iter(blocks[-1])) % 3 != face % 3:
            blocks.append({})
        block = blocks[-1]
        block[face] = (block.get(face, 0) + amount) % 4
        if not block[face]:
            del block[face]
        if not block:
            blocks.pop()
    return blocks


def count_turns(turns: Turns) -> int:
    """How many face turns (HTM) a hand made: neighbours of one face are one, undone or not.

    Opposite faces turned in a row are neighbours too, as they are where a log has slices as two.
    """
    count, axis, faces = 0, -1, 0
    for turn in turns:
        face = turn // 3
        if face % 3 != axis:
            axis, faces = face % 3, 0
        if not faces >> face & 1:
            faces |= 1 << face
            count += 1
    return count


@typed_cache(maxsize=20_000)
def normal_form(turns: Turns) -> Normal:
    """The normal form of ``turns``, written with the last layer up.

    Two runs that turn the same faces have the same form: neighbours of one face added up,
    opposite faces in a fixed order, turns of the last layer before and after stripped, and the
    layer's four rotations folded together.
    """
    blocks = _merged(turns)
    for end in (0, -1):
        if blocks:
            blocks[end].pop(Face.U, None)
            if not blocks[end]:
                blocks.pop(end)
    merged = Turns(bytes(3 * face + block[face] - 1 for block in blocks for face in sorted(block)))
    forms = (_sorted_blocks(renamed(merged, table)) for table in _TURNED_LAYER)
    return Normal(min(forms), len(merged))


class Run(NamedTuple):
    """What a run of turns is to a book.

    Attributes:
        form: Its normal form.
        htm: The length of that.
        n_turns: How many face turns a hand made: more than that where something was undone.
    """

    form: Turns
    htm: int
    n_turns: int


@typed_cache(maxsize=20_000)
def read_run(turns: Turns) -> Run:
    """What ``turns``, written with the last layer up, are to a book."""
    return Run(*normal_form(turns), count_turns(turns))


def _sorted_blocks(turns: Turns) -> Turns:
    """``turns``, merged before, with the two turns of a block of opposite faces in order."""
    out = bytearray(turns)
    for i in range(len(out) - 1):
        first, second = out[i], out[i + 1]
        if first // 3 % 3 == second // 3 % 3 and first > second:
            out[i], out[i + 1] = second, first
    return Turns(bytes(out))


@dataclass(frozen=True, slots=True, kw_only=True)
class Algorithm:
    """A proved algorithm.

    Attributes:
        text: Its normal spelling, as the hand makes it.
        case: The case it solves.
        angle: The angle of the case it starts from.
        turns: Its outer turns, last layer up.
        normal: Its normal form.
        is_in_parts: Whether it brings F2L home on its way too.
    """

    text: str
    case: CaseId
    angle: int
    turns: Turns
    normal: Normal
    is_in_parts: bool


def _breaks_f2l(places: Places) -> bool:
    return any(
        places[stickers[0]] != stickers[0]
        for faces, stickers in PIECES.items()
        if Face.U not in faces
    )


def solved_by(turns: Turns) -> LastLayer | None:
    """The last layer that ``turns`` bring home, or None when they leave F2L broken."""
    places = after_turns(SOLVED, inverse(turns))
    return None if _breaks_f2l(places) else label(places)


def _case_and_angle(layer: LastLayer) -> tuple[CaseId, int]:
    if layer.oll != SKIP:
        return CaseId(Stage.OLL, layer.oll), layer.oll_angle
    assert layer.pll is not None
    assert layer.pll_angle is not None
    return CaseId(Stage.PLL, layer.pll), layer.pll_angle


def case_solved_by(turns: Turns) -> CaseId | None:
    """The case that ``turns`` (last layer up) solve, or None when they leave F2L broken."""
    layer = solved_by(turns)
    return None if layer is None else _case_and_angle(layer)[0]


def prove_algorithm(text: str, case: CaseId | None = None) -> Algorithm:
    """The algorithm ``text``, proved to keep F2L and to solve ``case`` (any case when None).

    Raises:
        NotationError: ``text`` is not notation.
        AlgorithmError: It does something else; the message says what.
    """
    tokens = parse_tokens(text)
    script = parse_script(text)
    layer = solved_by(script.turns)
    if layer is None:
        raise AlgorithmError("breaks_f2l", _where_f2l_breaks(text, script))
    solved, angle = _case_and_angle(layer)
    if solved.number == SKIP:
        raise AlgorithmError("does_nothing", f"{text!r} only turns the last layer, or nothing.")
    if case is not None and solved != case:
        raise AlgorithmError(
            "other_case", f"{text!r} solves {CASES[solved]}, not {CASES[case]}: enter it there."
        )
    return Algorithm(
        text=format_tokens(tokens),
        case=solved,
        angle=angle,
        turns=script.turns,
        normal=normal_form(script.turns),
        is_in_parts=_is_in_parts(script.turns),
    )


def _is_in_parts(turns: Turns) -> bool:
    """Whether F2L is left, home and left again; opposite faces are turned in either order."""
    starts = [Turns(turns[:n]) for n in range(1, len(turns))]
    starts += [
        Turns(turns[: n - 1] + turns[n : n + 1])
        for n in range(1, len(turns))
        if turns[n - 1] // 3 % 3 == turns[n] // 3 % 3
    ]
    return any(
        not _breaks_f2l(after_turns(SOLVED, start))
        for start in starts
        if normal_form(start).form and normal_form(Turns(turns[len(start) :])).form
    )


def _where_f2l_breaks(text: str, script: Script) -> str:
    """Says that ``text`` does not bring F2L back, and after which turn it was last home."""
    last_home = max(
        n
        for n in range(len(script.turns))
        if not _breaks_f2l(after_turns(SOLVED, Turns(script.turns[:n])))
    )
    token = script.all_tokens[last_home] + 1
    return (
        f"{text!r} does not bring the first two layers back: from turn {token} on they stay broken."
    )
