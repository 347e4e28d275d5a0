"""One's e-mail address, and a forgotten password by mail: where the site sends mail, else not there."""

from typing import Any

from django.contrib import messages
from django.contrib.auth import views as framework
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import SetPasswordForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse, reverse_lazy
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from clubsite.accounts.models import User
from clubsite.accounts.throttle import device_know
from logs.errors import ConflictError
from logs.http.pages import actor_of, address_of, answers_refusals, origin_of
from logs.people.forms import MailAddressForm, PasswordMailForm
from logs.people.services.mail import (
    address_ask,
    address_keep,
    address_of_token,
    mail_check,
    password_mail,
)
from logs.people.services.passwords import password_note

UNPROCESSABLE = 422


@require_http_methods(["GET", "HEAD", "POST"])
@sensitive_post_parameters("password")
@answers_refusals
def mail_address(request: HttpRequest) -> HttpResponse:
    """The actor's e-mail address; have a link mailed to a new one, or forget the one that is kept."""
    mail_check()
    actor = actor_of(request)
    if request.method != "POST":
        return _address_page(request, MailAddressForm(request))
    if "forget" in request.POST:
        address_keep(actor=actor, mail_address="", now=timezone.now(), origin=origin_of(request))
        messages.success(request, "Your e-mail address is forgotten.")
        return redirect("logs:mail-address")
    form = MailAddressForm(request, request.POST)
    if not form.is_valid():
        return _address_page(request, form, UNPROCESSABLE)
    try:
        address_ask(
            actor=actor,
            mail_address=form.cleaned_data["mail_address"],
            link=lambda token: request.build_absolute_uri(
                reverse("logs:mail-address-keep", args=(token,))
            ),
            address=address_of(request),
            now=timezone.now(),
        )
    except ConflictError as error:
        form.add_error(None, error.message)
        return _address_page(request, form, UNPROCESSABLE)
    to = form.cleaned_data["mail_address"]
    messages.success(request, f"A letter is on its way to {to}. Open the link in it within a day.")
    return redirect("logs:mail-address")


def _address_page(request: HttpRequest, form: MailAddressForm, status: int = 200) -> HttpResponse:
    context = {"form": form, "kept": actor_of(request).email}
    return render(request, "people/mail_address.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def mail_address_keep(request: HttpRequest, token: str) -> HttpResponse:
    """Ask whether the address of a mailed link shall be kept; keep it."""
    actor = actor_of(request)
    address = address_of_token(actor=actor, token=token)
    if request.method != "POST":
        return render(request, "people/mail_address_keep.html", {"address": address})
    address_keep(actor=actor, mail_address=address, now=timezone.now(), origin=origin_of(request))
    messages.success(request, f"{address} is kept.")
    return redirect("logs:mail-address")


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def password_by_mail(request: HttpRequest) -> HttpResponse:
    """Have a link for a new password mailed; the answer is the same whoever was named."""
    mail_check()
    form = PasswordMailForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        password_mail(
            typed=form.cleaned_data["typed"],
            link=lambda both: request.build_absolute_uri(f"{reverse('logs:new-password')}{both}/"),
            address=address_of(request),
            now=timezone.now(),
        )
        return render(request, "people/password_mailed.html")
    status = UNPROCESSABLE if request.method == "POST" else 200
    return render(request, "people/password_mail.html", {"form": form}, status=status)


class PasswordByLink(framework.PasswordResetConfirmView):
    """Choose a new password with a mailed link, which works once, for an hour."""

    template_name = "people/password_link.html"
    success_url = reverse_lazy("accounts:sign-in")

    def get_user(self, uidb64: str) -> User | None:
        """Whose link it is; nobody's where the site sends no mail, or the account is locked."""
        user = super().get_user(uidb64)
        return user if isinstance(user, User) and user.is_active else None

    def form_valid(self, form: "SetPasswordForm[Any]") -> HttpResponse:
        """Keep the new password, and that it was chosen."""
        answer = super().form_valid(form)
        assert isinstance(form.user, User)
        device_know(self.request, form.user)
        password_note(user=form.user, now=timezone.now(), origin=origin_of(self.request))
        messages.success(self.request, "Your password is changed. Sign in with it.")
        return answer


password_by_link = require_http_methods(["GET", "HEAD", "POST"])(PasswordByLink.as_view())
