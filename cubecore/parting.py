"""Two cases of one stage held as much alike as they can be, and the sticker that parts them."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from cubecore.caching import typed_cache
from cubecore.cases import CASES, Case, CaseId, LastLayerKey, Stage, case_at_angle, recoloured
from cubecore.holds import VISIBLE, Sticker, shows_last_colour, side_colours, top_shape


@dataclass(frozen=True, slots=True)
class Parting:
    """How a case is held to look most like another.

    Attributes:
        case: The case, the colours of its sides so that most of them are the other's.
        angle: The angle.
        n_top: How many stickers on top differ.
        stickers: The stickers in sight on the sides that differ; of a PLL those of another colour.
    """

    case: Case
    angle: int
    n_top: int
    stickers: tuple[Sticker, ...]

    @property
    def n_differences(self) -> int:
        """How many of the 14 stickers in sight differ."""
        return self.n_top + len(self.stickers)


@typed_cache()
def parting(shown: CaseId, angle: int, other: CaseId) -> Parting:
    """``other`` held as much like ``shown`` at ``angle`` as can be, seen from the front and right.

    A hold with the same shape on top goes before all others; of several the first.

    Raises:
        ValueError: The two are of different stages.
    """
    if shown.stage is not other.stage:
        raise ValueError(f"{shown} and {other} are never taken for one another: one stage each.")
    here = case_at_angle(CASES[shown], angle)
    return min(_holds(here, CASES[other]), key=lambda held: (held.n_top > 0, held.n_differences))


def _holds(here: LastLayerKey, other: Case) -> Iterator[Parting]:
    n_colours = 4 if other.id.stage is Stage.PLL else 1
    for angle, steps in product(range(other.n_angles), range(n_colours)):
        case = recoloured(other, steps) if steps else other
        there = case_at_angle(case, angle)
        sides, other_sides = _sides(here), _sides(there)
        yield Parting(
            case=case,
            angle=angle,
            n_top=len(top_shape(here) ^ top_shape(there)),
            stickers=tuple(one for one in VISIBLE if sides[one] != other_sides[one]),
        )


def _sides(key: LastLayerKey) -> dict[Sticker, int]:
    """What each side sticker shows: its colour once all are up, else whether it is the top's."""
    if len(top_shape(key)) == len(key):
        return side_colours(key)
    return {sticker: int(shown) for sticker, shown in shows_last_colour(key).items()}
