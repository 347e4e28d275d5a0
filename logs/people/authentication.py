"""Who asks: the member whose token a program shows, never a browser's session; and how often.

Named in the settings, since the framework reads them as it is imported: so this imports no view.
"""

from django.utils import timezone
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.permissions import SAFE_METHODS
from rest_framework.request import Request
from rest_framework.throttling import BaseThrottle

from clubsite.accounts.models import User
from logs.http.pages import actor_of, address_of
from logs.people.models import ApiToken
from logs.people.selectors import token_shown
from logs.people.services.passwords import API, API_CHANGE, API_WRONG_TOKEN, try_count
from logs.people.services.tokens import token_use

SCHEME = "Bearer"


class TokenAuthentication(BaseAuthentication):
    """``Authorization: Bearer <token>`` (RFC 6750, section 2.1)."""

    def authenticate(self, request: Request) -> tuple[User, ApiToken] | None:
        """The member and their token; None where the request shows none.

        Raises:
            AuthenticationFailed: The token is none of ours, withdrawn, out of date, or its
                member's account is locked: these look alike.
            TooManyTriesError: The address has shown too many such tokens lately.
        """
        scheme, _, text = request.headers.get("Authorization", "").partition(" ")
        if scheme.lower() != SCHEME.lower():
            return None
        now = timezone.now()
        token = token_shown(text.strip(), now=now)
        if token is None:
            try_count(API_WRONG_TOKEN, actor=None, address=address_of(request), now=now)
            raise AuthenticationFailed(
                "This token does not work: it is mistyped, withdrawn or over."
            )
        token_use(token, now=now)
        return token.member, token

    def authenticate_header(self, request: Request) -> str:
        """What a 401 asks for."""
        return SCHEME


class Throttle(BaseThrottle):
    """Counts requests of an account and of an address in the database, for all processes alike."""

    def allow_request(self, request: Request, view: object) -> bool:
        """Count a request.

        Raises:
            TooManyTriesError: It is one too many.
        """
        limit = API if request.method in SAFE_METHODS else API_CHANGE
        actor, address = actor_of(request), address_of(request)
        try_count(limit, actor=actor, address=address, now=timezone.now())
        return True
