"""The clubs one is in, and one's own place in them.

Tokens for one's own programs: made, shown once, withdrawn.
"""

from functools import cache
from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe
from drf_spectacular.generators import SchemaGenerator

from logs.errors import ConflictError
from logs.http.pages import actor_of, answers_refusals, origin_of, several, whole_number
from logs.http.schema import Operation, operations
from logs.limits import LABEL, TOKEN_DAYS
from logs.people.forms import NOT_YOURS, is_password, own_password
from logs.people.report.clubs import club_line, clubs_report, tokens_report
from logs.people.services.memberships import (
    display_name_change,
    group_delete,
    group_keep,
    membership_leave,
    visibility_change,
)
from logs.people.services.tokens import token_make, token_withdraw
from logs.people.sight import time_zone_of
from logs.people.words import SCOPES, visibility_name


@require_safe
def club_list(request: HttpRequest) -> HttpResponse:
    """The clubs that the actor is in, and the way into another."""
    return render(request, "people/clubs.html", {"clubs": clubs_report(actor=actor_of(request))})


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def leave(request: HttpRequest, slug: str) -> HttpResponse:
    """Ask whether the actor wants to leave the club; leave it."""
    actor = actor_of(request)
    line = club_line(actor=actor, slug=slug)
    if request.method != "POST":
        return render(request, "people/leave.html", {"club": line})
    try:
        membership_leave(actor=actor, slug=slug, now=timezone.now(), origin=origin_of(request))
    except ConflictError as error:
        messages.warning(request, error.message)
        return redirect("logs:club-people", slug=slug)
    messages.success(request, f"You have left {line.name}. Your log stays yours.")
    return redirect("logs:club-list")


@require_POST
@answers_refusals
def group_change(request: HttpRequest, slug: str, group_id: int | None = None) -> HttpResponse:
    """Keep a group of the club's people, a new one without a number, or delete it."""
    actor, sent = actor_of(request), request.POST
    if group_id is not None and "delete" in sent:
        group_delete(actor=actor, slug=slug, group_id=group_id)
        messages.success(request, "The group is deleted. Its people stay in the club.")
        return redirect(reverse("logs:club-people", args=(slug,)) + "#groups")
    try:
        group = group_keep(
            actor=actor,
            slug=slug,
            name=sent.get("name", ""),
            membership_ids=[whole_number(pk, 0) for pk in several(sent, "member")],
            group_id=group_id,
        )
    except ConflictError as error:
        messages.warning(request, error.message)
    except ValidationError as error:
        messages.warning(request, "The group was not kept. " + " ".join(error.messages))
    else:
        messages.success(request, f"The group {group.name} is kept.")
    return redirect(reverse("logs:club-people", args=(slug,)) + "#groups")


@require_POST
@answers_refusals
def visibility(request: HttpRequest, slug: str) -> HttpResponse:
    """Have the actor's log in this club be seen by those chosen, from now on."""
    try:
        own = visibility_change(
            actor=actor_of(request),
            slug=slug,
            visibility=request.POST.get("visibility", ""),
            now=timezone.now(),
            origin=origin_of(request),
        )
    except ValidationError as error:
        messages.warning(request, " ".join(error.messages))
        return redirect("logs:privacy")
    who = visibility_name(own.visibility).lower()
    messages.success(request, f"Your log in {own.club.name} is seen by: {who}.")
    return redirect("logs:privacy")


@require_POST
@answers_refusals
def display_name(request: HttpRequest, slug: str) -> HttpResponse:
    """Change the name the club knows the actor by."""
    try:
        own = display_name_change(
            actor=actor_of(request),
            slug=slug,
            display_name=request.POST.get("display_name", ""),
            now=timezone.now(),
            origin=origin_of(request),
        )
    except ValidationError as error:
        messages.warning(request, "The name was not changed. " + " ".join(error.messages))
        return redirect("logs:privacy")
    messages.success(request, f"{own.club.name} knows you as {own.display_name}.")
    return redirect("logs:privacy")


UNPROCESSABLE = 422


class TokenForm(forms.Form):
    """A token to make."""

    name = forms.CharField(
        max_length=LABEL, error_messages={"required": "Say what the token is for."}
    )
    scopes = forms.MultipleChoiceField(
        choices=[(value, name) for value, name, _ in SCOPES],
        error_messages={"required": "Choose at least one thing that the token is good for."},
    )
    days = forms.IntegerField(min_value=TOKEN_DAYS[0], max_value=TOKEN_DAYS[1], initial=90)
    password = own_password()

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.request = request

    def clean(self) -> dict[str, Any]:
        """Try the password, as signing in does: a token opens the account for long."""
        values = super().clean() or {}
        if not self.errors and not is_password(self.request, values.pop("password")):
            self.add_error("password", NOT_YOURS)
        return values


@require_http_methods(["GET", "HEAD", "POST"])
@sensitive_post_parameters("password")
@answers_refusals
def tokens(request: HttpRequest) -> HttpResponse:
    """The actor's tokens, and the form that makes one; a new one is on the answer alone."""
    if request.method != "POST":
        return _page(request, TokenForm(request, initial={"scopes": ["read"]}))
    form = TokenForm(request, request.POST)
    if not form.is_valid():
        return _page(request, form, status=UNPROCESSABLE)
    try:
        token, text = token_make(
            actor=actor_of(request),
            **form.cleaned_data,
            now=timezone.now(),
            origin=origin_of(request),
        )
    except ValidationError as error:
        form.add_error(None, error)
    except ConflictError as error:
        form.add_error(None, error.message)
    else:
        fresh = TokenForm(request, initial={"scopes": ["read"]})
        return _page(request, fresh, text=text, name=token.name)
    return _page(request, form, status=UNPROCESSABLE)


def _page(request: HttpRequest, form: TokenForm, status: int = 200, **made: Any) -> HttpResponse:
    context = {
        "tokens": tokens_report(actor=actor_of(request), now=timezone.now()),
        "form": form,
        "scopes": SCOPES,
        "chosen": form["scopes"].value() or [],
        "zone": time_zone_of(actor=actor_of(request)),
        **made,
    }
    return render(request, "people/tokens.html", context, status=status)


@require_POST
@answers_refusals
def withdraw(request: HttpRequest, token_id: int) -> HttpResponse:
    """Have a token work no more."""
    token_withdraw(
        actor=actor_of(request), token_id=token_id, now=timezone.now(), origin=origin_of(request)
    )
    messages.success(request, "The token is withdrawn: programs that hold it are refused from now.")
    return redirect("logs:tokens")


@cache
def made_schema() -> dict[str, Any]:
    """The schema, made once in each process."""
    generator = SchemaGenerator()  # type: ignore[no-untyped-call]  # drf-spectacular gives it no types
    made: dict[str, Any] = generator.get_schema(request=None, public=True)  # type: ignore[no-untyped-call]  # drf-spectacular gives it no types
    return made


@login_not_required
@require_safe
def schema(request: HttpRequest) -> HttpResponse:
    """The schema as JSON; it tells nothing of anybody, so anybody may have it."""
    return JsonResponse(made_schema())


@require_safe
def guide(request: HttpRequest) -> HttpResponse:
    """What programs can ask, drawn from the schema."""
    found: tuple[Operation, ...] = operations(made_schema())
    return render(request, "people/api.html", {"operations": found, "scopes": SCOPES})
