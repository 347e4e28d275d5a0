"""How long a sign-in lasts: an idle limit, moved by use, and an absolute one that nothing moves.

The idle limit is the framework's ``SESSION_COOKIE_AGE``. The session is stored again once a day
of use, not in every request: reading a page should not write.
"""

from collections.abc import Callable
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth import logout
from django.contrib.sessions.backends.base import SessionBase
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

SIGNED_IN_AT = "signed_in_at"
RENEWED_AT = "renewed_at"
RENEW_AFTER = timedelta(days=1)


def note_sign_in(request: HttpRequest, **kwargs: object) -> None:
    """Write the time of signing in into the new session; called by the framework's signal."""
    now = timezone.now().isoformat()
    request.session[SIGNED_IN_AT] = now
    request.session[RENEWED_AT] = now


class SessionLimitMiddleware:
    """Ends a session at its absolute limit, and moves the idle limit while it is used."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, as a stranger once the session is over its limit."""
        if request.user.is_authenticated:
            now = timezone.now()
            if _age(request.session, SIGNED_IN_AT, now=now) > settings.SESSION_ABSOLUTE_AGE:
                logout(request)
            elif _age(request.session, RENEWED_AT, now=now) > RENEW_AFTER:
                request.session[RENEWED_AT] = now.isoformat()
        return self.get_response(request)


def _age(session: SessionBase, key: str, *, now: datetime) -> timedelta:
    written = session.get(key)
    return now - datetime.fromisoformat(written) if written else timedelta.max
