"""Clubs and who is in them, written."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from clubsite.accounts.models import User
from logs.errors import NotAllowedError
from logs.people.models import Club, Membership, Role, Verb, Visibility
from logs.people.services.trail import event_write
from logs.people.sight import coached_club_get, own_membership


@transaction.atomic
def club_create(*, name: str, slug: str, time_zone: str = "UTC") -> Club:
    """Found a club.

    Raises:
        ValidationError: The slug is taken, or the zone is no IANA time zone.
    """
    club = Club(name=name, slug=slug, time_zone=time_zone)
    club.full_clean()
    club.save()
    return club


@transaction.atomic
def membership_add(
    *,
    club: Club,
    user: User,
    display_name: str,
    role: Role = Role.MEMBER,
    visibility: Visibility = Visibility.ONLY_ME,
) -> Membership:
    """Add a person to a club; unless said otherwise nobody else sees their log.

    Raises:
        ValidationError: They are in it already, or have no name there.
    """
    membership = Membership(
        club=club, user=user, display_name=display_name, role=role, visibility=visibility
    )
    membership.full_clean()
    membership.save()
    return membership


@transaction.atomic
def contact_change(
    *, actor: User, slug: str, name: str, reach: str, now: datetime, origin: str = ""
) -> Club:
    """Say who answers for the club and how to reach them; two empty texts take it back.

    Raises:
        NotFoundError: There is no such club, or ``actor`` does not coach it.
        NotAllowedError: ``actor`` is not its owner.
        ValidationError: One of the two is missing or too long.
    """
    club = coached_club_get(actor=actor, slug=slug)
    if own_membership(actor=actor, club=club).role != Role.OWNER:
        raise NotAllowedError("Only the owner says who answers for the club.")
    club.contact_name, club.contact_reach = name.strip(), reach.strip()
    club.contact_by = actor if club.contact_name else None
    if bool(club.contact_name) != bool(club.contact_reach):
        empty = "contact_reach" if club.contact_name else "contact_name"
        raise ValidationError({empty: "Write both the name and how to reach them, or neither."})
    club.clean_fields(exclude=["contact_by"])
    club.save(update_fields=["contact_name", "contact_reach", "contact_by"])
    event_write(Verb.CONTACT, actor=actor, now=now, club=club, origin=origin)
    return club
