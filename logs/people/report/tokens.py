"""The tokens that a member's own programs sign in with."""

from dataclasses import dataclass
from datetime import datetime

from clubsite.accounts.models import User
from logs.people.report.whose import time_zone_of
from logs.people.selectors import token_list
from logs.words import moment

SCOPES = (
    (
        "read",
        "Read",
        "What you may read: your log, logs that others show you, and all that is kept about you,"
        " with your e-mail address and who looked at your log.",
    ),
    (
        "upload",
        "Upload",
        "Add logs and single solves to yours, mend rows set aside, and answer in practice.",
    ),
    (
        "manage",
        "Manage",
        "Change what you may change: who sees your log, your word on research, joining clubs and"
        " leaving them; for coaches also the people, invitations, book, homework and lessons of"
        " their club; for owners also handing it over, and closing it by leaving.",
    ),
)
"""Value, name and meaning."""


SCOPE_NAMES = {value: name.lower() for value, name, _ in SCOPES}


@dataclass(frozen=True, slots=True)
class TokenLine:
    """A token on a line; ``is_over`` when its days are up."""

    id: int
    name: str
    scopes: tuple[str, ...]
    made: str
    ends: str
    used: str
    is_over: bool


def tokens_report(*, actor: User, now: datetime) -> tuple[TokenLine, ...]:
    """The actor's tokens, the newest first."""
    zone = time_zone_of(actor=actor)
    return tuple(
        TokenLine(
            id=token.pk,
            name=token.name,
            scopes=tuple(SCOPE_NAMES[scope] for scope in token.scopes),
            made=moment(token.made_at, zone),
            ends=moment(token.expires_at, zone),
            used="never" if token.last_used_at is None else moment(token.last_used_at, zone),
            is_over=token.expires_at <= now,
        )
        for token in token_list(actor=actor)
    )
