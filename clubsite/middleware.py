"""Headers that every page of the site carries."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils.cache import add_never_cache_headers


class NoStoreMiddleware:
    """Keeps pages out of every cache, unless a view says otherwise.

    Static files are answered before this and keep headers of their own.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, with a ``Cache-Control`` header in any case."""
        response = self.get_response(request)
        if not response.has_header("Cache-Control"):
            add_never_cache_headers(response)
        return response
