"""What is answered where no view could: a page for people, one JSON object for programs.

Django has logged the fault by then, and has told whoever listens for it.
"""

from django.http import HttpRequest, HttpResponse
from django.views import defaults

from logs.http.faults import answer_fault, answer_unread, is_asked


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The answer to a request that could not be read."""
    return answer_unread() if is_asked(request) else defaults.bad_request(request, exception)


def server_error(request: HttpRequest) -> HttpResponse:
    """The answer where something of ours broke."""
    return answer_fault() if is_asked(request) else defaults.server_error(request)
