"""What the services refuse, as answers: not there 404, not allowed 403, too often 429."""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from logs.errors import NotAllowedError, NotFoundError, TooManyTriesError
from logs.services.audit import truncate_origin

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponse]


def answers_refusals(view: View[P]) -> View[P]:
    """Have ``view`` answer the site's page for each refusal."""

    @wraps(view)
    def answer(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        try:
            return view(request, *args, **kwargs)
        except NotFoundError as error:
            raise Http404(error.message) from error
        except NotAllowedError as error:
            raise PermissionDenied(error.message) from error
        except TooManyTriesError as error:
            return _too_many(request, error)

    return answer


def address_of(request: HttpRequest) -> str:
    """The address a request comes from: the peer's, or what the configured proxy says of it.

    waitress has put it there and believes nobody else (`clubsite.management.commands.serve`).
    """
    return str(request.META.get("REMOTE_ADDR", ""))


def origin_of(request: HttpRequest) -> str:
    """The network a request comes from, as the audit trail keeps it."""
    return truncate_origin(address_of(request))


def _too_many(request: HttpRequest, error: TooManyTriesError) -> HttpResponse:
    minutes = -(-error.wait_s // 60)
    context = {"message": error.message, "wait_minutes": minutes}
    page = render(request, "logs/too_many.html", context, status=429)
    page["Retry-After"] = str(error.wait_s)
    return page
