"""A copy of one's own data taken: limited, and noted."""

from datetime import datetime
from typing import TYPE_CHECKING

from django.db import transaction

from logs.models import Verb
from logs.services.audit import event_write
from logs.services.throttles import EXPORT, try_count

if TYPE_CHECKING:
    from clubsite.accounts.models import User


@transaction.atomic
def export_note(*, actor: "User", what: str, address: str, now: datetime, origin: str = "") -> None:
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
