"""What every page of the app shares: who asks, and the one answer to what is not theirs."""

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Concatenate, ParamSpec, cast

from django.http import Http404, HttpRequest, HttpResponse

from logs.errors import NotFoundError

if TYPE_CHECKING:
    from clubsite.accounts.models import User

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponse]


def answers_404(view: View[P]) -> View[P]:
    """Have ``view`` answer the site's 404 page to what is not there or not the actor's."""

    @wraps(view)
    def answer(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        try:
            return view(request, *args, **kwargs)
        except NotFoundError as error:
            raise Http404(error.message) from error

    return answer


def actor_of(request: HttpRequest) -> "User":
    """Who asks; every page of the app has a signed-in user (`LoginRequiredMiddleware`)."""
    return cast("User", request.user)


def whole_number(text: str | None, default: int) -> int:
    """The number in an address, or ``default`` for what is none."""
    if text and text.isascii() and text.isdecimal() and len(text) < 10:
        return int(text)
    return default
