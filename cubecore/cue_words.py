"""Cues in plain words, as a coach says them: the shape on top, then what to look at."""

from cubecore.caching import typed_cache
from cubecore.cases import CASES, Case, LastLayerKey, Stage, case_at_angle
from cubecore.cube import PLACES
from cubecore.cues import IN_SIGHT, Clue, Cue, PairClue, Relation, cue_of, lean
from cubecore.holds import Feature, Sticker, Where, all_views, side_views, top_shape

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
    begin = "The" if clue.sticker.side in IN_SIGHT else "Turn to look: the"
    shows = colour if clue.is_last_colour else f"not {colour}"
    return f"{begin} {sticker_words(clue.sticker)} is {shows}."


def shape_words(case: Case, angle: int = 0) -> str:
    """The shape on top in plain words: its name, how many corners are up, and how it lies.

    No other shape on top is said so: where a shape's mirror would be, its bar or its corners are
    named too.
    """
    if case.id.stage is Stage.PLL:
        return "All on top"
    shape = top_shape(case_at_angle(case, angle))
    return _words_by_shape(case.family)[shape]


@typed_cache()
def _words_by_shape(family: str) -> dict[frozenset[int], str]:
    """The words for each shape on top that a family of OLLs shows."""
    shapes = {
        top_shape(key)
        for (case, _), key in all_views(Stage.OLL).items()
        if CASES[case].family == family
    }
    plain = {shape: _shape_name(family, shape) + _lies(shape) for shape in shapes}
    all_words = [*plain.values()]
    more = {
        shape: _corners(shape) if _bar(shape) == _lies(shape) else _bar(shape) or _corners(shape)
        for shape in shapes
    }
    return {
        shape: words if all_words.count(words) == 1 else words + more[shape]
        for shape, words in plain.items()
    }


def _shape_name(family: str, shape: frozenset[int]) -> str:
    name = family[0].upper() + family[1:]
    if family in ("dot", "cross"):
        count = sum(place >= 4 for place in shape)
        name += f" with {('no corner', 'one corner', 'two corners', '', 'four corners')[count]} up"
    return name


def _lies(shape: frozenset[int]) -> str:
    """Where most of a shape lies; where nothing outweighs, how its bar runs or its corners lie."""
    x, z = lean(shape)
    return f", on the {_direction(x, z)}" if x or z else _bar(shape) or _corners(shape)


def _bar(shape: frozenset[int]) -> str:
    """How the bar of two opposite edges runs; empty for a shape that has none."""
    edges = [PLACES[place][0] for place in sorted(shape) if place < 4]
    if len(edges) != 2 or edges[0][0] != -edges[1][0]:
        return ""
    return ", its bar running " + ("from left to right" if edges[0][0] else "towards you")


def _corners(shape: frozenset[int]) -> str:
    """Where one or two corners lie; empty for none or more."""
    corners = [PLACES[place][0] for place in sorted(shape) if place >= 4]
    if len(corners) not in (1, 2):
        return ""
    x, z = (sum(corner[axis] for corner in corners) for axis in (0, 2))
    if len(corners) == 2 and (x or z):
        return f", its corners on the {_direction(x, z)}"
    spots = " and ".join(_direction(corner[0], corner[2]) for corner in corners)
    return f", its corner{'s' * (len(corners) == 2)} at the {spots}"


def _direction(x: int, z: int) -> str:
    depth = "front" if z > 0 else "back" if z < 0 else ""
    across = "right" if x > 0 else "left" if x < 0 else ""
    return f"{depth} {across}".strip()


def cue_sentence(
    case: Case, angle: int = 0, colour: str = "yellow", *, in_sight: bool = False
) -> str:
    """The cue as a coach says it: the shape on top, then what to look at.

    ``in_sight``: as `cues.cue_of` has it.
    """
    sentences = clue_sentences(cue_of(case, angle, in_sight=in_sight), colour)
    if not sentences:
        sentences = ("No other case has this shape on top.",)
    return " ".join([shape_words(case, angle) + ".", *sentences])


def clue_sentences(cue: Cue, colour: str = "yellow") -> tuple[str, ...]:
    """The clues of a cue, each as a sentence that says what its sticker is part of."""
    key = case_at_angle(CASES[cue.case], cue.angle)
    sentences = []
    for clue in cue.clues:
        part = feature_words(clue, key)
        words = clue_words(clue, colour)
        sentences.append(f"{words.removesuffix('.')}, {part}." if part else words)
    return tuple(sentences)
