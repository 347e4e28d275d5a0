"""Who asks: the member whose token the program shows, and nobody by a browser's session."""

from typing import TYPE_CHECKING, cast

from django.utils import timezone
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from logs.selectors.tokens import token_shown
from logs.services.throttles import API_WRONG_TOKEN, try_count
from logs.services.tokens import token_use

if TYPE_CHECKING:
    from clubsite.accounts.models import User
    from logs.models import ApiToken

SCHEME = "Bearer"


class TokenAuthentication(BaseAuthentication):
    """``Authorization: Bearer <token>`` (RFC 6750, section 2.1)."""

    def authenticate(self, request: Request) -> "tuple[User, ApiToken] | None":
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


def actor_of(request: Request) -> "User":
    """Who asks, once the request is let in."""
    return cast("User", request.user)


def address_of(request: Request) -> str:
    """The address the request comes from, as `logs.web.refusals.address_of` has it."""
    return str(request.META.get("REMOTE_ADDR", ""))


class TokenScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]  # its hook for subclasses has no types
    """How the schema names the token."""

    target_class = TokenAuthentication
    name = "token"

    def get_security_definition(self, auto_schema: object) -> dict[str, str]:
        """The scheme, in the schema's words."""
        return {"type": "http", "scheme": "bearer"}
