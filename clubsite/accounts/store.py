"""Sessions in a table of ours, so that a member can be told where they are signed in and end it there.

As Django's documentation has it under "Extending database-backed session engines".
"""

import hashlib
from datetime import datetime
from typing import Any

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore as FrameworkSessionStore
from django.contrib.sessions.base_session import AbstractBaseSession
from django.utils import timezone

SIGNED_IN_AT = "signed_in_at"
RENEWED_AT = "renewed_at"
BROWSER = "browser"


def hash_key(key: str) -> str:
    """What is kept of a session's key, which has more than 160 random bits: its SHA-256."""
    return hashlib.sha256(key.encode()).hexdigest()


class SessionStore(FrameworkSessionStore):
    """Sessions in the table of ours, found by the hash of their key."""

    @classmethod
    def get_model_class(cls) -> type[AbstractBaseSession]:
        """The table, which exists only once the models are loaded."""
        from clubsite.accounts.models import Session  # noqa: PLC0415 - models are ready only after this file

        return Session

    def _get_session_from_db(self) -> AbstractBaseSession | None:
        key = self.session_key
        rows = self.model.objects.filter(session_key=hash_key(key or ""))
        session = rows.filter(expire_date__gt=timezone.now()).first()
        if key and session is None:
            self._session_key = None
        return session

    def exists(self, session_key: str) -> bool:
        """Whether there is a session with this key."""
        return bool(self.model.objects.filter(session_key=hash_key(session_key)).exists())

    def create_model_instance(self, data: dict[str, Any]) -> AbstractBaseSession:
        """The row of the session, which also says whose it is and when it was used."""
        session = super().create_model_instance(data)
        session.session_key = hash_key(session.session_key)
        told = {
            "user_id": int(data[SESSION_KEY]) if SESSION_KEY in data else None,
            "signed_in_at": _instant(data.get(SIGNED_IN_AT)),
            "used_at": _instant(data.get(RENEWED_AT)),
            "browser": data.get(BROWSER, ""),
        }
        for name, value in told.items():
            setattr(session, name, value)
        return session

    def delete(self, session_key: str | None = None) -> None:
        """Delete the session with this key, or this one."""
        key = session_key or self.session_key
        if key:
            self.model.objects.filter(session_key=hash_key(key)).delete()


def _instant(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None
