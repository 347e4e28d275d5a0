"""Locks that writers take, held until their transaction ends."""

from django.contrib.auth import get_user_model


def lock_log(member_id: int) -> None:
    """Make other writers of this member's log wait until this transaction ends.

    SQLite has one writer at a time anyhow.
    """
    list(get_user_model().objects.select_for_update(no_key=True).only("pk").filter(pk=member_id))
