"""The tokens that a member's own programs sign in with."""

from dataclasses import dataclass
from datetime import datetime

from clubsite.accounts.models import User
from logs.people.models import Scope
from logs.people.selectors import token_list


@dataclass(frozen=True, slots=True)
class TokenLine:
    """A token on a line.

    Attributes:
        id: Names it in addresses.
        name: The member's own word for the program.
        scopes: What it is good for.
        created_at: When it was made.
        expires_at: When it stops to work.
        last_used_at: When it last let a program in, to the hour; null where it never did.
        is_expired: Whether its days are up.
    """

    id: int
    name: str
    scopes: tuple[Scope, ...]
    created_at: datetime
    expires_at: datetime
    last_used_at: datetime | None
    is_expired: bool


def tokens_report(*, actor: User, now: datetime) -> tuple[TokenLine, ...]:
    """The actor's tokens, the newest first."""
    return tuple(
        TokenLine(
            id=token.pk,
            name=token.name,
            scopes=tuple(Scope(scope) for scope in token.scopes),
            created_at=token.made_at,
            expires_at=token.expires_at,
            last_used_at=token.last_used_at,
            is_expired=token.expires_at <= now,
        )
        for token in token_list(actor=actor)
    )
