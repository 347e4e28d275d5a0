"""A club founded, by whoever runs the site: its owner comes in by an invitation."""

from datetime import datetime

from django.db import transaction

from logs.models import Club, Verb
from logs.services.audit import event_write
from logs.services.clubs import club_create
from logs.services.invitations import invitation_create_for_owner


@transaction.atomic
def club_found(*, name: str, slug: str, time_zone: str, days: int, now: datetime) -> str:
    """Found a club; the code that makes whoever uses it first the owner.

    A club at ``slug`` that has lost its owner is not founded again: it gets the code alone.

    Args:
        name: The club's.
        slug: What its addresses begin with.
        time_zone: IANA name.
        days: How long the code works.
        now: When.

    Raises:
        ConflictError: The club has an owner.
        ValidationError: The name is empty, the slug malformed or the zone no IANA time zone.
    """
    club = Club.objects.filter(slug=slug).first()
    if club is None:
        club = club_create(name=name, slug=slug, time_zone=time_zone)
        event_write(Verb.CLUB_FOUND, actor=None, now=now, club=club)
    _, code = invitation_create_for_owner(club=club, days=days, now=now)
    return code
