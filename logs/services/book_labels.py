"""Labels of a club's members made anew after its book has changed."""

from datetime import datetime
from typing import TYPE_CHECKING

from logs.models import Membership, Solve
from logs.selectors.book import is_relabelled
from logs.selectors.coaching import coached_club_get
from logs.selectors.jobs import is_being_relabelled
from logs.services.relabel import solve_relabel
from logs.services.relabel_jobs import relabel_start

if TYPE_CHECKING:
    from clubsite.accounts.models import User

RELABEL_LIMIT = 1_000
"""Solves that are labelled anew while the coach waits; above it a worker does it."""


def club_relabel(*, actor: "User", slug: str, now: datetime, is_book_new: bool = False) -> bool:
    """Make the labels of all the club's members anew by their books, or leave it to a worker.

    Nothing is begun where none is behind, or where it goes on already, unless ``is_book_new``: what
    goes on may have passed solves by the book of before, so it is begun again.

    Returns:
        Whether it is done; else it goes on behind the request.

    Raises:
        NotFoundError: The club is not the actor's to coach.
    """
    club = coached_club_get(actor=actor, slug=slug)
    goes_on = is_being_relabelled(club=club)
    if goes_on and not is_book_new:
        return False
    if not goes_on and is_relabelled(actor=actor, club=club):
        return True
    members = list(Membership.objects.filter(club=club).values_list("user", flat=True))
    if Solve.objects.filter(member__in=members)[RELABEL_LIMIT : RELABEL_LIMIT + 1].exists():
        relabel_start(club=club, now=now)
        return False
    solve_relabel(member_ids=members)
    return True
