"""Locks that writers take, held until their transaction ends."""

from django.contrib.auth import get_user_model

from logs.people.models import Club


def lock_log(member_id: int) -> None:
    """Make other writers of this member's log wait until this transaction ends.

    SQLite has one writer at a time anyhow.
    """
    list(get_user_model().objects.select_for_update(no_key=True).only("pk").filter(pk=member_id))


def lock_club(club_id: int) -> None:
    """Make other writers of what a club keeps in common wait until this transaction ends."""
    list(Club.objects.select_for_update().only("pk").filter(pk=club_id))


def lock_people(club_id: int) -> None:
    """Make other changes of a club's people wait until this transaction ends.

    Weaker than `lock_club`: rows that name the club may be added meanwhile.
    """
    list(Club.objects.select_for_update(no_key=True).only("pk").filter(pk=club_id))
