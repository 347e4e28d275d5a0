"""The people of a club and its invitations, for its coaches."""

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clubsite.accounts.models import User
from logs.errors import ConflictError, NotFoundError, TooManyTriesError
from logs.http.pages import actor_of, address_of, answers_refusals, origin_of
from logs.people.forms import DisplayNameForm, InvitationForm, SignUpForm
from logs.people.models import Membership
from logs.people.report.clubs import WRONG_CODE, JoinReport, heir, join_report, people_report
from logs.people.report.whose import members_report
from logs.people.services.invitations import (
    Letter,
    invitation_accept,
    invitation_create,
    invitation_mail,
    invitation_sign_up,
    invitation_withdraw,
)
from logs.people.services.memberships import membership_remove, ownership_hand_over, role_change

UNPROCESSABLE = 422


@require_safe
@answers_refusals
def people(request: HttpRequest, slug: str) -> HttpResponse:
    """Everybody in the club, and its invitations."""
    return _people_page(request, slug, InvitationForm())


def _people_page(
    request: HttpRequest, slug: str, form: InvitationForm, code: str = "", status: int = 200
) -> HttpResponse:
    report = people_report(actor=actor_of(request), slug=slug, now=timezone.now())
    link = _join_link(request, code) if code else ""
    context = {"report": report, "form": form, "code": code, "link": link, "tab": "people"}
    return render(request, "people/people.html", context, status=status)


def _join_link(request: HttpRequest, code: str) -> str:
    return request.build_absolute_uri(f"{reverse('logs:join')}?code={code}")


@require_POST
@answers_refusals
def invite(request: HttpRequest, slug: str) -> HttpResponse:
    """Make an invitation; its code is on the answer and nowhere else."""
    form = InvitationForm(request.POST)
    if not form.is_valid():
        return _people_page(request, slug, form, status=UNPROCESSABLE)
    invitation, code = invitation_create(
        actor=actor_of(request),
        slug=slug,
        role=form.cleaned_data["role"],
        max_uses=form.cleaned_data["max_uses"],
        days=form.cleaned_data["days"],
        now=timezone.now(),
        origin=origin_of(request),
    )
    if form.cleaned_data.get("mail_to"):
        _mail_invitation(request, form.cleaned_data["mail_to"], invitation.club.name, code)
    return _people_page(request, slug, InvitationForm(), code)


def _mail_invitation(request: HttpRequest, to: str, club: str, code: str) -> None:
    """Mail the code; that it could not be sent is said beside the code, which works."""
    letter = Letter(to=to, club=club, link=_join_link(request, code), code=code)
    try:
        invitation_mail(
            actor=actor_of(request),
            letter=letter,
            now=timezone.now(),
            address=address_of(request),
        )
    except (ConflictError, TooManyTriesError) as error:
        messages.error(request, error.message)
    else:
        messages.success(request, f"The invitation was mailed to {to}.")


@require_POST
@answers_refusals
def withdraw(request: HttpRequest, slug: str, invitation_id: int) -> HttpResponse:
    """Have an invitation work no more."""
    invitation_withdraw(
        actor=actor_of(request),
        slug=slug,
        invitation_id=invitation_id,
        now=timezone.now(),
        origin=origin_of(request),
    )
    messages.success(request, "The invitation is withdrawn: its code works no more.")
    return redirect("logs:club-people", slug=slug)


@require_POST
@answers_refusals
def remove(request: HttpRequest, slug: str, membership_id: int) -> HttpResponse:
    """Take somebody out of the club."""
    try:
        membership_remove(
            actor=actor_of(request),
            slug=slug,
            membership_id=membership_id,
            now=timezone.now(),
            origin=origin_of(request),
        )
    except ConflictError as error:
        messages.warning(request, error.message)
    else:
        messages.success(request, "They are out of the club. Their log stays theirs.")
    return redirect("logs:club-people", slug=slug)


@require_POST
@answers_refusals
def change_role(request: HttpRequest, slug: str, membership_id: int) -> HttpResponse:
    """Make a member a coach, or a coach a member."""
    try:
        changed = role_change(
            actor=actor_of(request),
            slug=slug,
            membership_id=membership_id,
            role=request.POST.get("role", ""),
            now=timezone.now(),
            origin=origin_of(request),
        )
    except ValidationError as error:
        messages.warning(request, " ".join(error.messages))
    else:
        messages.success(request, f"{changed.display_name} is a {changed.role} now.")
    return redirect("logs:club-people", slug=slug)


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def hand_over(request: HttpRequest, slug: str, membership_id: int) -> HttpResponse:
    """Say what handing over means; make somebody else the owner of the club."""
    actor = actor_of(request)
    if request.method != "POST":
        report = people_report(actor=actor, slug=slug, now=timezone.now())
        context = {"report": report, "person": heir(report, membership_id)}
        return render(request, "people/hand_over.html", context)
    try:
        owner = ownership_hand_over(
            actor=actor,
            slug=slug,
            membership_id=membership_id,
            now=timezone.now(),
            origin=origin_of(request),
        )
    except ConflictError as error:
        messages.warning(request, error.message)
    else:
        messages.success(request, f"{owner.display_name} is the owner now; you stay a coach.")
    return redirect("logs:club-people", slug=slug)


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
        return render(request, "people/join_code.html", {"code": ""})
    opened = _opened(request, code)
    if opened is None:
        context = {"code": code, "wrong": WRONG_CODE}
        return render(request, "people/join_code.html", context, status=UNPROCESSABLE)
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
    return render(request, "people/join.html", context, status=status)


def _opened(request: HttpRequest, code: str) -> JoinReport | None:
    """What the code opens."""
    who, address = _who(request), address_of(request)
    try:
        return join_report(code=code, actor=who, address=address, now=timezone.now())
    except NotFoundError:
        return None


def _take_in(request: HttpRequest, code: str, form: DisplayNameForm) -> Membership:
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


def _who(request: HttpRequest) -> User | None:
    return request.user if request.user.is_authenticated else None


@require_safe
def member_list(request: HttpRequest) -> HttpResponse:
    """The members whose logs the actor may open."""
    report = members_report(actor=actor_of(request))
    return render(request, "people/members.html", {"report": report})
