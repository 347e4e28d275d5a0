"""Clubs and who is in them, written."""

from django.db import transaction

from clubsite.accounts.models import User
from logs.people.models import Club, Membership, Role, Visibility


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
