"""A copy of one's own data taken: limited, and noted."""

from datetime import datetime

from django.db import connection, transaction

from clubsite.accounts.models import User
from logs.errors import ConflictError
from logs.people.locks import lock_log
from logs.people.models import AuditEvent, Club, Membership, Role, Verb
from logs.people.services.passwords import EXPORT, try_count
from logs.people.services.trail import event_write
from logs.solves.models.solves import Sighting
from logs.wall.services import seats_forget


@transaction.atomic
def export_note(*, actor: User, what: str, address: str, now: datetime, origin: str = "") -> None:
    """Note that ``actor`` takes a copy of their data: somebody else at their screen may.

    Args:
        actor: Whose data it is.
        what: Which copy: ``log`` or ``account``.
        address: Where the request comes from.
        now: When.
        origin: The actor's network.

    Raises:
        TooManyTriesError: Copies were taken too often lately.
    """
    try_count(EXPORT, actor=actor, address=address, now=now)
    detail = {"what": what}
    event_write(Verb.EXPORT, actor=actor, member=actor, now=now, detail=detail, origin=origin)


@transaction.atomic
def member_erase(*, actor: User, now: datetime) -> None:
    """Erase the actor's account and every row that belongs to it, the uploads' bytes too.

    Rows that name the actor as their member go; rows that others own and the actor only made, such
    as a homework set as a coach, forget who made them. So does the audit trail, which keeps that
    something happened. A club whose owner is alone in it goes too. Sessions and counted tries
    are deleted by `clubsite.accounts`, in this same transaction.

    Raises:
        ConflictError: The actor owns a club that others are in.
    """
    _close_clubs(actor)
    lock_log(actor.pk)
    Club.objects.filter(contact_by=actor).update(contact_name="", contact_reach="")
    AuditEvent.objects.filter(actor=actor).update(actor=None, origin="")
    AuditEvent.objects.filter(member=actor).update(member=None)
    seats_forget(actor=actor)
    Sighting.objects.filter(member=actor).delete()
    actor.delete()
    event_write(Verb.ERASE, actor=None, now=now)
    transaction.on_commit(_empty_journal)


def _close_clubs(actor: User) -> None:
    """Delete the clubs that the actor owns alone."""
    owned = Membership.objects.filter(user=actor, role=Role.OWNER).values("club")
    for club in Club.objects.select_for_update(no_key=True).filter(pk__in=owned).order_by("name"):
        if club.memberships.exclude(user=actor).exists():
            raise ConflictError(
                f"You are the owner of {club.name}. Hand it over to somebody first, so that the"
                " others still have a club."
            )
        club.delete()


def _empty_journal() -> None:
    """Have SQLite's write-ahead file hold nothing of what was deleted.

    Pages of the database itself are overwritten as they are freed (``secure_delete``). A reader
    that is in the way leaves it to the next checkpoint.
    """
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
