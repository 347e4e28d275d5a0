"""The most practice a day that a club's coaches want."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from logs.services.practice_cap import practice_cap_change
from logs.web.pages import actor_of, whole_number
from logs.web.refusals import answers_refusals


@require_POST
@answers_refusals
def change(request: HttpRequest, slug: str) -> HttpResponse:
    """Have the club's members practise at most so much a day."""
    number = whole_number(request.POST.get("practice_cap", "").strip(), 0)
    try:
        club = practice_cap_change(actor=actor_of(request), slug=slug, practice_cap=number)
    except ValidationError as error:
        messages.warning(request, "Nothing was changed. " + " ".join(error.messages))
    else:
        messages.success(request, f"At most {club.practice_cap} a day in {club.name}.")
    return redirect(reverse("logs:homework-desk", args=[slug]) + "#practice")
