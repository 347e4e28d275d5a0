"""Tokens: a member's own, and the one that a program shows."""

import hashlib
from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import QuerySet

from logs.errors import NotFoundError
from logs.models import ApiToken

if TYPE_CHECKING:
    from clubsite.accounts.models import User


def hash_token(text: str) -> str:
    """What is kept of a token: the SHA-256 of its text, in hexadecimal."""
    return hashlib.sha256(text.encode()).hexdigest()


def token_list(*, actor: "User") -> QuerySet[ApiToken]:
    """The actor's tokens, the newest first."""
    return ApiToken.objects.filter(member=actor).order_by("-made_at", "-pk")


def token_get(*, actor: "User", token_id: int) -> ApiToken:
    """One of the actor's tokens.

    Raises:
        NotFoundError: There is no such token, or it is somebody else's.
    """
    token = token_list(actor=actor).filter(pk=token_id).first()
    if token is None:
        raise NotFoundError("token")
    return token


def token_shown(text: str, *, now: datetime) -> ApiToken | None:
    """The token with this text, if it and its member's account work at ``now``."""
    return (
        ApiToken.objects.select_related("member")
        .filter(token_hash=hash_token(text), expires_at__gt=now, member__is_active=True)
        .first()
    )
