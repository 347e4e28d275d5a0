"""Joining a club with an invitation, signed in or not."""

from typing import TYPE_CHECKING

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from logs.errors import ConflictError, NotFoundError
from logs.reports.clubs import WRONG_CODE, JoinReport, join_report
from logs.services.invitations import invitation_accept, invitation_sign_up
from logs.web.forms_people import DisplayNameForm, SignUpForm
from logs.web.refusals import address_of, answers_refusals, origin_of

if TYPE_CHECKING:
    from clubsite.accounts.models import User
    from logs.models import Membership

UNPROCESSABLE = 422
MODEL_BACKEND = "django.contrib.auth.backends.ModelBackend"


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
@sensitive_post_parameters()
@answers_refusals
def join(request: HttpRequest) -> HttpResponse:
    """Ask for a code; show what it opens; take somebody in."""
    sent = request.POST if request.method == "POST" else request.GET
    code = sent.get("code", "").strip()
    if not code:
        return render(request, "logs/join_code.html", {"code": ""})
    opened = _opened(request, code)
    if opened is None:
        context = {"code": code, "wrong": WRONG_CODE}
        return render(request, "logs/join_code.html", context, status=UNPROCESSABLE)
    kind = DisplayNameForm if _who(request) else SignUpForm
    if request.method != "POST":
        return _join_page(request, opened, kind())
    form = kind(request.POST)
    if not form.is_valid():
        return _join_page(request, opened, form, UNPROCESSABLE)
    try:
        joined = _take_in(request, code, form)
    except ValidationError as error:
        form.add_refusal(error)
        return _join_page(request, opened, form, UNPROCESSABLE)
    except ConflictError as error:
        messages.info(request, error.message)
        return redirect("logs:club-list")
    messages.success(
        request,
        f"You are in {joined.club.name}, as {joined.display_name}. Only you see your log there.",
    )
    return redirect("logs:club-list")


def _join_page(
    request: HttpRequest, opened: JoinReport, form: DisplayNameForm, status: int = 200
) -> HttpResponse:
    context = {"report": opened, "form": form}
    return render(request, "logs/join.html", context, status=status)


def _opened(request: HttpRequest, code: str) -> JoinReport | None:
    """What the code opens."""
    who, address = _who(request), address_of(request)
    try:
        return join_report(code=code, actor=who, address=address, now=timezone.now())
    except NotFoundError:
        return None


def _take_in(request: HttpRequest, code: str, form: DisplayNameForm) -> "Membership":
    """Join with the account that is signed in, or make one and sign in with it."""
    now, origin = timezone.now(), origin_of(request)
    name, who = form.cleaned_data["display_name"], _who(request)
    if who is not None:
        return invitation_accept(actor=who, code=code, display_name=name, now=now, origin=origin)
    joined = invitation_sign_up(
        code=code,
        username=form.cleaned_data["username"],
        password=form.cleaned_data["password"],
        display_name=name,
        now=now,
        origin=origin,
    )
    login(request, joined.user, backend=MODEL_BACKEND)
    return joined


def _who(request: HttpRequest) -> "User | None":
    return request.user if request.user.is_authenticated else None
