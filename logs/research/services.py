"""Members' word on research, and the club's export taken: limited, and noted."""

from collections.abc import Collection
from datetime import datetime

from django.db import transaction

from clubsite.accounts.models import User
from logs.people.models import Club, Membership, Verb
from logs.people.services.passwords import EXPORT, try_count
from logs.people.services.trail import event_write, look_note
from logs.people.sight import club_get, own_membership


@transaction.atomic
def research_change(
    *, actor: User, slug: str, is_in: bool, now: datetime, origin: str = ""
) -> Membership:
    """Have the actor's sightings go into a club's research exports, or no longer.

    Raises:
        NotFoundError: There is no such club, or the actor is not in it.
    """
    club = club_get(actor=actor, slug=slug)
    own = own_membership(actor=actor, club=club)
    own = Membership.objects.select_for_update(of=("self",)).select_related("club").get(pk=own.pk)
    if own.is_in_research != is_in:
        before, own.is_in_research = own.is_in_research, is_in
        own.save(update_fields=["is_in_research"])
        event_write(
            Verb.RESEARCH,
            actor=actor,
            member=actor,
            now=now,
            club=club,
            detail={"before": before, "after": is_in},
            origin=origin,
        )
    return own


@transaction.atomic
def research_export_note(
    *,
    actor: User,
    club: Club,
    membership_ids: Collection[int],
    address: str,
    now: datetime,
    origin: str = "",
) -> None:
    """Note that ``actor`` takes the club's research export; those in it find a look at theirs.

    Raises:
        TooManyTriesError: Copies were taken too often lately.
    """
    try_count(EXPORT, actor=actor, address=address, now=now)
    detail = {"what": "research", "n_members": len(membership_ids)}
    event_write(Verb.EXPORT, actor=actor, now=now, club=club, detail=detail, origin=origin)
    look_note(actor=actor, membership_ids=membership_ids, page="research", now=now, origin=origin)
