"""The people of a club and its invitations, for its coaches."""

from dataclasses import dataclass

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
from clubsite.accounts.throttle import device_know
from logs.errors import ConflictError, NotAllowedError, NotFoundError, TooManyTriesError
from logs.http.pages import actor_of, address_of, answers_refusals, origin_of
from logs.people.forms import (
    ContactForm,
    InvitationForm,
    JoinForm,
    PasswordCodeForm,
    SignUpForm,
)
from logs.people.models import Membership
from logs.people.report.clubs import (
    ClubLine,
    InvitationLine,
    JoinReport,
    club_line,
    heir,
    join_report,
    people_report,
    person_line,
)
from logs.people.services.invitations import (
    Letter,
    invitation_accept,
    invitation_create,
    invitation_mail,
    invitation_sign_up,
    invitation_withdraw,
)
from logs.people.services.memberships import (
    contact_change,
    membership_remove,
    ownership_hand_over,
    role_change,
)
from logs.people.services.passwords import password_code_create, password_reset
from logs.people.words import HAND_OUT, VISIBILITIES, WRONG_CODE
from logs.templatetags.notebook import qr

UNPROCESSABLE = 422


@require_safe
@answers_refusals
def people(request: HttpRequest, slug: str) -> HttpResponse:
    """Everybody in the club, and its invitations."""
    return _people_page(request, slug, InvitationForm())


def _people_page(
    request: HttpRequest,
    slug: str,
    form: InvitationForm,
    *,
    contact: ContactForm | None = None,
    newest: int | None = None,
    status: int = 200,
) -> HttpResponse:
    """The page; ``newest`` is the invitation that was just made, which stands open."""
    report = people_report(actor=actor_of(request), slug=slug, now=timezone.now())
    links = [
        InvitationLink(line, link, qr(link))
        for line in report.invitations
        if line.code and (link := _join_link(request, line.code))
    ]
    initial = {"name": report.contact.name, "reach": report.contact.reach} if report.contact else {}
    context = {
        "report": report,
        "form": form,
        "links": links,
        "newest": newest,
        "contact": contact or ContactForm(initial=initial),
        "hand_out": HAND_OUT.format(
            club=report.view.club.name,
            keep=request.build_absolute_uri(reverse("logs:what-we-keep")),
            privacy=request.build_absolute_uri(reverse("logs:privacy")),
        ),
    }
    return render(request, "people/people.html", context, status=status)


@dataclass(frozen=True, slots=True)
class InvitationLink:
    """An open invitation as link and as QR code, a picture."""

    line: InvitationLine
    link: str
    qr: str


def _join_link(request: HttpRequest, code: str) -> str:
    return request.build_absolute_uri(f"{reverse('logs:join')}?code={code}")


@require_POST
@answers_refusals
def invite(request: HttpRequest, slug: str) -> HttpResponse:
    """Make an invitation; its code stands on the page as long as it works."""
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
    return _people_page(request, slug, InvitationForm(), newest=invitation.pk)


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


REMOVED = (
    "They are out of the club. Their log stays theirs. Codes that they made work no more, and none"
    " that is open lets this account in again. Withdraw an open code they know: with it they could"
    " make another account."
)


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
        messages.success(request, REMOVED)
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
    kind = JoinForm if _who(request) else SignUpForm
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
    return redirect("logs:welcome", slug=joined.club.slug)


def _join_page(
    request: HttpRequest, opened: JoinReport, form: JoinForm, status: int = 200
) -> HttpResponse:
    context = {"report": opened, "form": form, "visibilities": VISIBILITIES}
    return render(request, "people/join.html", context, status=status)


def _opened(request: HttpRequest, code: str) -> JoinReport | None:
    """What the code opens."""
    who, address = _who(request), address_of(request)
    try:
        return join_report(code=code, actor=who, address=address, now=timezone.now())
    except NotFoundError:
        return None


def _take_in(request: HttpRequest, code: str, form: JoinForm) -> Membership:
    """Join with the account that is signed in, or make one and sign in with it."""
    now, origin = timezone.now(), origin_of(request)
    who = _who(request)
    chosen = {name: form.cleaned_data[name] for name in ("display_name", "visibility")}
    if who is not None:
        return invitation_accept(actor=who, code=code, **chosen, now=now, origin=origin)
    joined = invitation_sign_up(
        code=code,
        username=form.cleaned_data["username"],
        password=form.cleaned_data["password"],
        **chosen,
        now=now,
        origin=origin,
    )
    login(request, joined.user, backend=MODEL_BACKEND)
    return joined


def _who(request: HttpRequest) -> User | None:
    return request.user if request.user.is_authenticated else None


@require_safe
@answers_refusals
def welcome(request: HttpRequest, slug: str) -> HttpResponse:
    """What to do first in a club that one has joined."""
    return render(request, "people/welcome.html", {"club": _own_club(request, slug)})


def _own_club(request: HttpRequest, slug: str) -> ClubLine:
    return club_line(actor=actor_of(request), slug=slug)


@require_POST
@answers_refusals
def contact(request: HttpRequest, slug: str) -> HttpResponse:
    """Say who answers for the club; it stands on the page about what is kept."""
    form = ContactForm(request.POST)
    if form.is_valid():
        try:
            contact_change(
                actor=actor_of(request),
                slug=slug,
                **form.cleaned_data,
                now=timezone.now(),
                origin=origin_of(request),
            )
        except ValidationError as error:
            form.add_error(None, [text for texts in error.message_dict.values() for text in texts])
        else:
            messages.success(request, "It stands on “What we keep and why” now.")
            return redirect("logs:club-people", slug=slug)
    return _people_page(request, slug, InvitationForm(), contact=form, status=UNPROCESSABLE)


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def password_code(request: HttpRequest, slug: str, membership_id: int) -> HttpResponse:
    """Make a code for somebody's forgotten password; it is on the answer and nowhere else."""
    actor = actor_of(request)
    person = person_line(actor=actor, slug=slug, membership_id=membership_id)
    if not person.can_help:
        raise NotAllowedError("Only the owner helps others with a forgotten password.")
    context = {"club": _own_club(request, slug), "person": person}
    if request.method == "POST":
        try:
            context["code"] = password_code_create(
                actor=actor,
                slug=slug,
                membership_id=membership_id,
                now=timezone.now(),
                origin=origin_of(request),
            )
        except ConflictError as error:
            messages.warning(request, error.message)
            return redirect("logs:club-people", slug=slug)
    context["address"] = request.build_absolute_uri(reverse("logs:new-password"))
    return render(request, "people/password_code.html", context)


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
@sensitive_post_parameters()
@answers_refusals
def new_password(request: HttpRequest) -> HttpResponse:
    """Choose a new password with a code of the club's owner."""
    if request.method != "POST":
        return render(request, "people/new_password.html", {"form": PasswordCodeForm()})
    form = PasswordCodeForm(request.POST)
    if form.is_valid():
        try:
            user = password_reset(
                username=form.cleaned_data["username"],
                code=form.cleaned_data["code"],
                password=form.cleaned_data["password"],
                address=address_of(request),
                now=timezone.now(),
                origin=origin_of(request),
            )
        except ValidationError as error:
            form.add_refusal(error)
        else:
            device_know(request, user)
            messages.success(request, "Your password is changed. Sign in with it.")
            return redirect("accounts:sign-in")
    context = {"form": form}
    return render(request, "people/new_password.html", context, status=UNPROCESSABLE)
