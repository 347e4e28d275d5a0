"""How long a sign-in lasts: an idle limit, moved by use, and an absolute one that nothing moves.

The idle limit is the framework's ``SESSION_COOKIE_AGE``. The session is stored again once a day
of use, not in every request: reading a page should not write.
"""

import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth import HASH_SESSION_KEY, logout
from django.contrib.sessions.backends.base import SessionBase
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from clubsite.accounts.models import Session, User
from clubsite.accounts.store import BROWSER, RENEWED_AT, SIGNED_IN_AT, hash_key
from clubsite.accounts.throttle import device_know

RENEW_AFTER = timedelta(days=1)

BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("Firefox/", "Firefox"),
    ("FxiOS/", "Firefox"),
    ("Chrome/", "Chrome"),
    ("CriOS/", "Chrome"),
    ("Safari/", "Safari"),
)
"""What a browser's own word holds (RFC 9110, 10.1.5), and its name; the first that fits, for most
of them name older ones too."""

SYSTEMS = (
    ("Android", "Android"),
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Windows", "Windows"),
    ("CrOS", "Chromebook"),
    ("Macintosh", "Mac"),
    ("Linux", "Linux"),
)


def browser_words(user_agent: str) -> str:
    """``Firefox on Linux``: enough to know one's own device by; empty for what is no browser."""
    browser, system = (
        next((name for mark, name in names if mark in user_agent), "")
        for names in (BROWSERS, SYSTEMS)
    )
    return f"{browser} on {system}" if browser and system else browser or system


def note_sign_in(request: HttpRequest, user: User, **kwargs: object) -> None:
    """Write when and with what somebody signed in, and know the device; called by the framework's signal."""
    device_know(request, user)
    Session.objects.filter(expire_date__lt=timezone.now()).delete()
    now = timezone.now().isoformat()
    request.session[SIGNED_IN_AT] = now
    request.session[RENEWED_AT] = now
    request.session[BROWSER] = browser_words(request.META.get("HTTP_USER_AGENT", ""))


@dataclass(frozen=True, slots=True)
class SignIn:
    """A place where a member is signed in.

    Attributes:
        key_hash: Names it in the form that ends it.
        browser: ``Firefox on Linux``; empty where it did not say.
        signed_in_at: When they signed in there.
        used_at: When it was last used, to within a day.
        is_here: Whether it is the one that asks.
    """

    key_hash: str
    browser: str
    signed_in_at: datetime
    used_at: datetime
    is_here: bool


def sign_in_list(*, user: User, key: str | None, now: datetime) -> list[SignIn]:
    """Where a member is signed in, the asking one first, then as they were used.

    Those over a limit, and those that a new password ended, are left out.

    Args:
        user: The member.
        key: The key of the session that asks.
        now: The present.
    """
    here = hash_key(key or "")
    sessions = user.sessions.filter(
        expire_date__gt=now, signed_in_at__gt=now - settings.SESSION_ABSOLUTE_AGE
    )
    password = user.get_session_auth_hash()
    sign_ins = [
        SignIn(one.session_key, one.browser, one.signed_in_at, one.used_at, one.session_key == here)
        for one in sessions.order_by("-used_at", "session_key")
        if one.signed_in_at is not None
        and one.used_at is not None
        and secrets.compare_digest(one.get_decoded().get(HASH_SESSION_KEY, ""), password)
    ]
    return sorted(sign_ins, key=lambda one: not one.is_here)


def sign_in_end(*, user: User, key_hash: str) -> bool:
    """Sign a member out at one place; whether they were signed in there."""
    n_deleted, _ = user.sessions.filter(session_key=key_hash).delete()
    return bool(n_deleted)


def sign_ins_end_others(*, user: User, key: str | None) -> int:
    """Sign a member out everywhere but where they ask; at how many places that was."""
    n_deleted, _ = user.sessions.exclude(session_key=hash_key(key or "")).delete()
    return n_deleted


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
