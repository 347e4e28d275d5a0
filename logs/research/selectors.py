"""What goes into a club's research export: sightings of members who agreed, and of nobody else."""

from collections.abc import Iterator
from typing import Any

from django.db.models import Exists, F, OuterRef

from clubsite.accounts.models import User
from logs.people.models import Club, Membership
from logs.people.sight import coached_club_get, visible_memberships
from logs.solves.models.solves import Sighting

_OF_SOLVE = ("kind", "status", "done_at", "engine_version")


def research_memberships(*, actor: User, slug: str) -> tuple[Club, list[Membership]]:
    """The club, and the memberships of those in it who are in its research export.

    They agreed, they show their log to the coaches, and a case was met in it. So an export holds
    nothing that the coach who takes it may not read already.

    Raises:
        NotFoundError: The club is not the actor's to coach.
    """
    club = coached_club_get(actor=actor, slug=slug)
    agreed = visible_memberships(actor).filter(club=club, is_in_research=True)
    met = agreed.filter(Exists(Sighting.objects.filter(member=OuterRef("user"))))
    return club, list(met.order_by("id"))


def research_rows(*, actor: User, membership: Membership) -> Iterator[dict[str, Any]]:
    """The sightings of a member who is in the export, as `logs.research.figures` takes them.

    None for one who is not.
    """
    agreed = visible_memberships(actor).filter(pk=membership.pk, is_in_research=True)
    sightings = Sighting.objects.filter(member__in=agreed.values("user"))
    of_solve = {name: F(f"solve__{name}") for name in _OF_SOLVE}
    rows: Iterator[Any] = sightings.values(
        "solve_id",
        "stage",
        "case",
        "angle",
        "n_looks",
        "first_outcome",
        "is_one_look",
        "is_reached",
        "recognition_ms",
        "execution_ms",
        "misfire_kind",
        "misfire_case",
        **of_solve,
    ).iterator()
    return rows
