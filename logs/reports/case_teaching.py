"""A case as it is taught to the reader: by the book of their clubs, in their own colour."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from logs.errors import NotFoundError
from logs.reports.algorithm_facts import AlgorithmFacts, algorithm_facts
from logs.reports.held import Angle, HeldCase, angles_of, held_case
from logs.reports.words import find_case
from logs.selectors.book import book_of_member, triggers_of_member
from logs.selectors.clubs import clubs_of
from logs.selectors.colours import usual_last_colour

if TYPE_CHECKING:
    from clubsite.accounts.models import User


@dataclass(frozen=True, slots=True)
class CaseTeaching:
    """How to hold a case and what to look at.

    Attributes:
        held: The case at the angle that is shown.
        is_hold: Whether that is the hold the first algorithm starts from.
        auf: The turn of the layer that leads from it to the hold; empty in the hold.
        angles: All its angles.
        algorithms: Those of the reader's books, the taught one first.
        colour: The last layer's, as the reader mostly solves.
        books: Name and slug of the clubs whose books they are.
    """

    held: HeldCase
    is_hold: bool
    auf: str
    angles: tuple[Angle, ...]
    algorithms: tuple[AlgorithmFacts, ...]
    colour: str
    books: tuple[tuple[str, str], ...]


def case_teaching(
    *, actor: "User", stage: str, number: str, angle: int | None = None
) -> CaseTeaching:
    """How a case is taught to the actor, met at ``angle``; in its hold when None.

    Raises:
        NotFoundError: There is no such case.
    """
    case = find_case(stage, number)
    if case is None:
        raise NotFoundError("case")
    triggers = triggers_of_member(member=actor)
    known = book_of_member(member=actor).algorithms(case.id)
    hold = known[0].angle % case.n_angles if known else 0
    shown = hold if angle is None else angle % case.n_angles
    colour = usual_last_colour(actor=actor)
    angles = angles_of(case, hold=hold, shown=shown)
    return CaseTeaching(
        held=held_case(case, angle=shown, colour=colour),
        is_hold=shown == hold,
        auf=next(one.auf for one in angles if one.is_shown),
        angles=angles,
        algorithms=tuple(algorithm_facts(algorithm.text, triggers) for algorithm in known),
        colour=colour,
        books=tuple((club.name, club.slug) for club in clubs_of(actor=actor)),
    )
