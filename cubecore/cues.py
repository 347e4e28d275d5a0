"""What to look at: the fewest visible stickers that tell a case, in its hold, from its look-alikes.

Visible are the top, the front row and the right row: what a solver sees without turning the cube.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import chain, combinations
from typing import NamedTuple, TypeVar

from cubecore.caching import typed_cache
from cubecore.cases import CASES, Case, CaseId, LastLayerKey, Stage, case_at_angle
from cubecore.cube import PLACES
from cubecore.holds import (
    VISIBLE,
    Feature,
    Sticker,
    Where,
    all_views,
    shows_last_colour,
    side_colours,
    side_views,
    top_shape,
)
from cubecore.words import Word


class Relation(Word):
    """How the colours of two stickers stand to each other."""

    MATCH = "match"
    OPPOSITE = "opposite"
    NEIGHBOUR = "neighbour"


class ColourClue(NamedTuple):
    """An OLL clue: whether a sticker has the last layer's colour."""

    sticker: Sticker
    is_last_colour: bool


class PairClue(NamedTuple):
    """A PLL clue: how two stickers stand to each other."""

    first: Sticker
    second: Sticker
    relation: Relation


Clue = ColourClue | PairClue
_C = TypeVar("_C", ColourClue, PairClue)


@dataclass(frozen=True, slots=True)
class Cue:
    """The cue of a case in one hold.

    Attributes:
        case: The case.
        angle: The angle it is met at.
        look_alikes: The other cases that the clues tell it from.
        clues: The fewest that settle case and angle among the look-alikes; none are needed when
            the top alone does.
    """

    case: CaseId
    angle: int
    look_alikes: tuple[CaseId, ...]
    clues: tuple[Clue, ...]


class WrongHold(NamedTuple):
    """The hold that looks most like the right one.

    Attributes:
        quarter_turns: The clockwise quarter turns of the layer that would lead to the right hold.
        n_differences: How many of the 14 visible stickers differ.
        top_differs: Whether the top already tells.
        sticker: The first side sticker that tells, or None when only the top does.
        is_last_colour: What that sticker is in the right hold.
    """

    quarter_turns: int
    n_differences: int
    top_differs: bool
    sticker: Sticker | None
    is_last_colour: bool


_View = tuple[CaseId, int]


@typed_cache()
def _views(stage: Stage) -> dict[_View, LastLayerKey]:
    return all_views(stage)


def look_alike_views(case: Case, angle: int) -> dict[_View, LastLayerKey]:
    """Every other case and angle that could be taken for ``case`` met at ``angle``.

    For an OLL those with the same shape on top; for a PLL its family, at every angle.
    """
    views = _views(case.id.stage)
    here = (case.id, angle)
    if case.id.stage is Stage.OLL:
        shape = top_shape(views[here])
        return {
            view: key for view, key in views.items() if view != here and top_shape(key) == shape
        }
    return {
        view: key
        for view, key in views.items()
        if view != here and CASES[view[0]].family == case.family
    }


def colour_clues(key: LastLayerKey) -> tuple[ColourClue, ...]:
    """All six OLL clues of a view, the stickers that have the last layer's colour first."""
    shown = shows_last_colour(key)
    clues = [ColourClue(sticker, shown[sticker]) for sticker in VISIBLE]
    return tuple(sorted(clues, key=lambda clue: not clue.is_last_colour))


def pair_clues(key: LastLayerKey) -> tuple[PairClue, ...]:
    """All fifteen PLL clues of a view, matches on one face first."""
    colours = side_colours(key)
    clues = []
    for first, second in combinations(VISIBLE, 2):
        steps = (colours[first] - colours[second]) % 4
        relation = (Relation.MATCH, Relation.NEIGHBOUR, Relation.OPPOSITE, Relation.NEIGHBOUR)[
            steps
        ]
        clues.append(PairClue(first, second, relation))
    order = [Relation.MATCH, Relation.OPPOSITE, Relation.NEIGHBOUR]
    return tuple(
        sorted(clues, key=lambda c: (order.index(c.relation), c.first.side != c.second.side))
    )


def _fewest(
    clues: Sequence[_C],
    rivals: Iterable[LastLayerKey],
    read: Callable[[LastLayerKey], Iterable[_C]],
) -> tuple[_C, ...]:
    """The first of the smallest sets of ``clues`` that no rival shows all of."""
    shown_by = [set(read(rival)) for rival in rivals]
    sets = chain.from_iterable(combinations(clues, size) for size in range(len(clues) + 1))
    return next(
        chosen for chosen in sets if not any(shown.issuperset(chosen) for shown in shown_by)
    )


def cue_of(case: Case, angle: int = 0) -> Cue:
    """The cue of ``case`` met at ``angle``: fewest clues, those of the last colour preferred."""
    rivals = look_alike_views(case, angle)
    key = case_at_angle(case, angle)
    clues: tuple[Clue, ...]
    if case.id.stage is Stage.OLL:
        clues = _fewest(colour_clues(key), rivals.values(), colour_clues)
    else:
        clues = _fewest(pair_clues(key), rivals.values(), pair_clues)
    others = tuple(dict.fromkeys(other for other, _ in rivals if other != case.id))
    return Cue(case.id, angle, others, clues)


def two_sided_cue(case: Case, angle: int = 0) -> Cue:
    """The fewest clues that tell a PLL and its angle from all others, on the two sides in sight.

    Raises:
        ValueError: ``case`` is no PLL.
    """
    if case.id.stage is not Stage.PLL:
        raise ValueError(f"{case} is told by its top first: use cue_of.")
    here = (case.id, angle)
    rivals = {view: key for view, key in _views(Stage.PLL).items() if view != here}
    clues = _fewest(pair_clues(case_at_angle(case, angle)), rivals.values(), pair_clues)
    others = tuple(dict.fromkeys(other for other, _ in rivals if other != case.id))
    return Cue(case.id, angle, others, clues)


def nearest_wrong_hold(case: Case) -> WrongHold | None:
    """The angle that looks most like the case's reference hold; None when every angle is right.

    For a PLL the sides are compared by which of their stickers match their neighbours.
    """
    found = None
    right = case.key
    for angle in range(1, case.n_angles):
        wrong = case_at_angle(case, angle)
        top_differences = len(top_shape(right) ^ top_shape(wrong))
        differing = [s for s in VISIBLE if _looks(right)[s] != _looks(wrong)[s]]
        n_differences = top_differences + len(differing)
        if found is None or n_differences < found.n_differences:
            sticker = differing[0] if differing else None
            is_last = bool(sticker and shows_last_colour(right)[sticker])
            found = WrongHold(
                quarter_turns=angle,
                n_differences=n_differences,
                top_differs=top_differences > 0,
                sticker=sticker,
                is_last_colour=is_last,
            )
    return found


def _looks(key: LastLayerKey) -> dict[Sticker, int]:
    """What each visible side sticker shows: its colour class (OLL) or its step from the first."""
    if len(top_shape(key)) < 8:
        return {sticker: int(shown) for sticker, shown in shows_last_colour(key).items()}
    colours = side_colours(key)
    return {sticker: (colours[sticker] - colours[VISIBLE[0]]) % 4 for sticker in VISIBLE}


_SPOTS = {Where.LEFT: "left corner", Where.MIDDLE: "edge", Where.RIGHT: "right corner"}
_RELATION_WORDS = {
    Relation.MATCH: "match",
    Relation.OPPOSITE: "are opposite colours",
    Relation.NEIGHBOUR: "are neither the same nor opposite colours",
}


def sticker_words(sticker: Sticker) -> str:
    """Such as ``front face's left corner``."""
    return f"{sticker.side} face's {_SPOTS[sticker.where]}"


_FEATURE_WORDS = {
    Feature.BAR_OF_THREE: "part of a bar of three",
    Feature.BAR_OF_TWO: "part of a bar of two",
    Feature.HEADLIGHTS: "one of two headlights",
    Feature.LONE_CORNER: "a lone corner",
    Feature.LONE_EDGE: "a lone edge",
}


def feature_words(clue: Clue, key: LastLayerKey) -> str:
    """What the sticker of an OLL clue is part of, such as ``a lone corner``; else empty.

    A side sticker is part of something only where it has the last layer's colour.
    """
    if isinstance(clue, PairClue) or not clue.is_last_colour:
        return ""
    return _FEATURE_WORDS[side_views(key)[clue.sticker.side].feature]


def clue_words(clue: Clue, colour: str) -> str:
    """A clue as a sentence, with the last layer's colour by name."""
    if isinstance(clue, PairClue):
        return (
            f"The {sticker_words(clue.first)} and the {sticker_words(clue.second)} "
            f"{_RELATION_WORDS[clue.relation]}."
        )
    return f"The {sticker_words(clue.sticker)} is {'' if clue.is_last_colour else 'not '}{colour}."


def cue_stickers(cue: Cue) -> tuple[Sticker, ...]:
    """The side stickers that the cue names, each once."""
    named: list[Sticker] = []
    for clue in cue.clues:
        named += [clue.first, clue.second] if isinstance(clue, PairClue) else [clue.sticker]
    return tuple(dict.fromkeys(named))


def shape_words(case: Case, angle: int = 0) -> str:
    """The shape on top in plain words: its name, how many corners are up, and where it lies."""
    if case.id.stage is Stage.PLL:
        return "All on top"
    shape = top_shape(case_at_angle(case, angle))
    name = case.family[0].upper() + case.family[1:]
    if case.family in ("dot", "cross"):
        count = sum(place >= 4 for place in shape)
        name += f" with {('no corner', 'one corner', 'two corners', '', 'four corners')[count]} up"
    return name + _lies(shape)


def _lies(shape: frozenset[int]) -> str:
    """Where most of a shape lies; where nothing outweighs, how its bar runs or its corners lie."""
    pieces = [PLACES[place][0] for place in shape]
    x, z = sum(piece[0] for piece in pieces), sum(piece[2] for piece in pieces)
    if x or z:
        return f", on the {_direction(x, z)}"
    edges = [PLACES[place][0] for place in sorted(shape) if place < 4]
    corners = [PLACES[place][0] for place in sorted(shape) if place >= 4]
    if len(edges) == 2 and edges[0][0] == -edges[1][0]:
        return ", its bar running " + ("from left to right" if edges[0][0] else "towards you")
    if len(corners) in (1, 2):
        spots = " and ".join(_direction(corner[0], corner[2]) for corner in corners)
        return f", its corner{'s' * (len(corners) == 2)} at the {spots}"
    return ""


def _direction(x: int, z: int) -> str:
    depth = "front" if z > 0 else "back" if z < 0 else ""
    across = "right" if x > 0 else "left" if x < 0 else ""
    return f"{depth} {across}".strip()


def cue_sentence(case: Case, angle: int = 0, colour: str = "yellow") -> str:
    """The cue as a coach says it: the shape on top, then what to look at."""
    said = clue_sentences(cue_of(case, angle), colour)
    if not said:
        said = ("No other case has this shape on top.",)
    return " ".join([shape_words(case, angle) + ".", *said])


def clue_sentences(cue: Cue, colour: str = "yellow") -> tuple[str, ...]:
    """The clues of a cue, each as a sentence that says what its sticker is part of."""
    key = case_at_angle(CASES[cue.case], cue.angle)
    said = []
    for clue in cue.clues:
        part = feature_words(clue, key)
        words = clue_words(clue, colour)
        said.append(f"{words.removesuffix('.')}, {part}." if part else words)
    return tuple(said)
