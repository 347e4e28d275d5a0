"""Labels of a club's members made anew after its book has changed."""

from typing import TYPE_CHECKING

from logs.models import Membership, Solve
from logs.selectors.coaching import coached_club_get
from logs.services.relabel import solve_relabel

if TYPE_CHECKING:
    from clubsite.accounts.models import User

RELABEL_LIMIT = 10_000
"""Solves that are labelled anew while the coach waits; above it `manage.py relabel` has to.

The demo club's 7,313 took 11 s on two shared cores.
"""


def club_relabel(*, actor: "User", slug: str) -> bool:
    """Make the labels of all the club's members anew by their books, unless there are too many.

    Returns:
        Whether it was done; else somebody has to run ``manage.py relabel``.

    Raises:
        NotFoundError: The club is not the actor's to coach.
    """
    club = coached_club_get(actor=actor, slug=slug)
    members = list(Membership.objects.filter(club=club).values_list("user", flat=True))
    if Solve.objects.filter(member__in=members)[RELABEL_LIMIT : RELABEL_LIMIT + 1].exists():
        return False
    solve_relabel(member_ids=members)
    return True
