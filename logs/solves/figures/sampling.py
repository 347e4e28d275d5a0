"""Which solves to write down, drawn before anyone looks; and which rows rates are made of.

The design. Solves that have a time and no solution are put in the order of time and cut into as many
parts as solves are wanted, each as large as the next but for one; so the parts run over the days, and
a day with many solves has its share. Within a part the order is that of a hash of the seed and the
solve's number, which nobody can know before the seed is drawn and everybody can make again after. A
round takes the next solve of every part. After r rounds a solve of a part of N was drawn with
probability r / N and stands for N / r solves (stratified random sampling with proportional
allocation: Cochran, Sampling Techniques, 3rd ed. 1977, chapter 5; from memory).

The rule of rows, the only place where it stands:

- a row that came with its solution in a log counts as it is;
- a row of a draw stands for the solves it was drawn from, as long as at most one in five of the
  draw is missing;
- any other row that was written down by hand was chosen. It tells of cases and times, and is left
  out of rates as soon as there are rows of the two other kinds. Where there are none, rates are made
  of the chosen ones and say so.
"""

import hashlib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

MISSING_OF = 5
"""At most one in so many of a draw may be missing."""


class DrawnPlace(NamedTuple):
    """A solve's place in a draw.

    Attributes:
        number: The solve.
        part: Of which part, from 1.
        n_in_part: Solves of the part.
        round: In which round, from 1.
    """

    number: int
    part: int
    n_in_part: int
    round: int


def draw_places(
    numbers: Sequence[int], *, n_parts: int, n_rounds: int, seed: int
) -> list[DrawnPlace]:
    """The places of a draw, round by round.

    Args:
        numbers: The solves to draw from, in the order of time.
        n_parts: Parts, at most as many as there are solves.
        n_rounds: Rounds; a part that has none left gives none.
        seed: Any number; the same one draws the same.

    Raises:
        ValueError: There are more parts than solves.
    """
    if not 1 <= n_parts <= len(numbers):
        raise ValueError(f"n_parts is {n_parts}: it must lie between 1 and {len(numbers)}")
    ends = [len(numbers) * n // n_parts for n in range(n_parts + 1)]
    parts = [
        sorted(numbers[ends[n] : ends[n + 1]], key=lambda number: _lot(seed, number))
        for n in range(n_parts)
    ]
    return [
        DrawnPlace(own[n_before], part, len(own), n_before + 1)
        for n_before in range(n_rounds)
        for part, own in enumerate(parts, start=1)
        if n_before < len(own)
    ]


def _lot(seed: int, number: int) -> bytes:
    """What a solve draws: the same on every machine and in every release of every library."""
    return hashlib.sha256(f"{seed} {number}".encode()).digest()


class Basis(StrEnum):
    """What kind of rows a rate is made of."""

    LOGGED = "logged"
    CHOSEN = "chosen"
    DRAWN = "drawn"


class AskedPlace(NamedTuple):
    """A solve that a draw asked for.

    Attributes:
        number: The solve.
        weight: How many solves it stands for.
        is_written: Whether it has a solution.
    """

    number: int
    weight: float
    is_written: bool


@dataclass(frozen=True, slots=True)
class RateRows:
    """Which of a member's solves rates are made of.

    Attributes:
        basis: What kind they are; drawn ones may have logged ones beside them.
        chosen: Solves written down that count as picked by the member.
        weights: How many solves each drawn one stands for; all others stand for themselves. Empty
            unless the basis is drawn.
        n_asked: Solves that draws asked for.
        n_missing: Those of them that have no solution.
        n_stands_for: Solves that were drawn from, by the weights of those asked for.
    """

    basis: Basis = Basis.LOGGED
    chosen: frozenset[int] = frozenset()
    weights: Mapping[int, float] | None = None
    n_asked: int = 0
    n_missing: int = 0
    n_stands_for: int = 0

    @property
    def left_out(self) -> frozenset[int]:
        """The solves with a solution that rates leave out."""
        return frozenset() if self.basis is Basis.CHOSEN else self.chosen


def rate_rows(
    *, written: Collection[int], asked: Sequence[AskedPlace], has_logged: bool
) -> RateRows:
    """Which rows rates are made of, by the rule above.

    Args:
        written: Solves whose solution was written down by hand.
        asked: What draws asked for.
        has_logged: Whether any other solve has a solution.
    """
    drawn = {place.number: place.weight for place in asked if place.is_written}
    n_missing = len(asked) - len(drawn)
    is_drawn = bool(asked) and n_missing * MISSING_OF <= len(asked)
    by_hand = frozenset(written) | frozenset(drawn)
    if is_drawn:
        basis = Basis.DRAWN
    elif has_logged or not by_hand:
        basis = Basis.LOGGED
    else:
        basis = Basis.CHOSEN
    return RateRows(
        basis=basis,
        chosen=by_hand - drawn.keys() if is_drawn else by_hand,
        weights=drawn if is_drawn else None,
        n_asked=len(asked),
        n_missing=n_missing,
        n_stands_for=round(sum(place.weight for place in asked)),
    )
