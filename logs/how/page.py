"""How each figure is made."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from logs.how.report import NUMBERS, how_report


@require_safe
def how(request: HttpRequest) -> HttpResponse:
    """How each figure is made, in plain words."""
    return render(request, "how/how.html", {"groups": how_report(), "numbers": NUMBERS})
