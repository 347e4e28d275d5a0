"""Invitations: a club's, for its coaches; and the one that a code opens, for whoever holds it."""

from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import F
from django.utils.crypto import salted_hmac

from logs.errors import NotFoundError
from logs.models import Invitation
from logs.selectors.coaching import coached_club_get

if TYPE_CHECKING:
    from clubsite.accounts.models import User


def hash_code(code: str) -> str:
    """What an invitation is found by; spaces, hyphens and small letters make no difference."""
    bare = "".join(char for char in code.upper() if char.isalnum())
    return salted_hmac("logs.invitation", bare, algorithm="sha256").hexdigest()


def invitation_list(*, actor: "User", slug: str) -> list[Invitation]:
    """The club's invitations, newest first.

    Raises:
        NotFoundError: There is no such club, or ``actor`` does not coach it.
    """
    club = coached_club_get(actor=actor, slug=slug)
    return list(Invitation.objects.filter(club=club).order_by("-created_at", "-id"))


def invitation_open(*, code: str, now: datetime) -> Invitation:
    """The invitation that ``code`` opens now, with its club. Whoever has the code may ask.

    Raises:
        NotFoundError: None does: mistyped, withdrawn, out of date and used up look alike.
    """
    working = Invitation.objects.filter(
        code_hash=hash_code(code), withdrawn_at=None, expires_at__gt=now, n_uses__lt=F("max_uses")
    )
    invitation = working.select_related("club").first()
    if invitation is None:
        raise NotFoundError("invitation")
    return invitation
