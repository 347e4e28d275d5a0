"""Signing in and out, where one is signed in, and changing the password."""

from typing import Any, cast

from django import forms
from django.contrib import messages
from django.contrib.auth import views
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.utils import timezone

from clubsite.accounts.models import User
from clubsite.accounts.passwords import password_changed
from clubsite.accounts.sessions import sign_in_end, sign_in_list, sign_ins_end_others
from clubsite.accounts.throttle import password_owner


class SignInForm(AuthenticationForm):
    """A user name and a password."""

    def clean(self) -> dict[str, Any]:
        """Find whose they are.

        Raises:
            DoorShutError: Passwords were guessed too often lately.
        """
        assert self.request is not None
        name, password = (self.cleaned_data.get(field, "") for field in ("username", "password"))
        if name and password:
            self.user_cache = password_owner(self.request, name=name, password=password)
            if self.user_cache is None:
                raise self.get_invalid_login_error()
        return self.cleaned_data


class SignInView(views.LoginView):
    """The sign-in page; somebody already signed in is sent on."""

    authentication_form = SignInForm
    redirect_authenticated_user = True


class SignOutView(views.LogoutView):
    """Ends the session; answers to POST alone."""


class NewPasswordForm(PasswordChangeForm):
    """The old password, and a new one twice; whether programs go on acting in one's name."""

    keeps_programs = forms.BooleanField(
        required=False,
        label="My programs go on",
        help_text="Tick it if you know each of your tokens. Else all of them end, as they should"
        " when somebody else may have known your password.",
    )

    def __init__(self, *args: Any, request: HttpRequest, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.request = request

    def clean_old_password(self) -> str:
        """Try the old password, as signing in does: wrong ones are counted and shut the door."""
        password: str = self.cleaned_data["old_password"]
        if password_owner(self.request, name=self.user.get_username(), password=password) is None:
            message = self.error_messages["password_incorrect"]
            raise ValidationError(message, code="password_incorrect")
        return password


class PasswordChangeView(views.PasswordChangeView):
    """Changes the password. Sessions on other devices end, as they hold the old one's hash."""

    form_class = NewPasswordForm
    template_name = "registration/password_change.html"
    success_url = reverse_lazy("accounts:password-change")

    def get_form_kwargs(self) -> dict[str, Any]:
        """What the form is made with."""
        return {**super().get_form_kwargs(), "request": self.request}

    def form_valid(self, form: PasswordChangeForm) -> HttpResponse:
        """Store the new password and say what that did."""
        keeps_programs = form.cleaned_data["keeps_programs"]
        with transaction.atomic():
            answer = super().form_valid(form)
            password_changed.send(
                User,
                user=form.user,
                now=timezone.now(),
                address=self.request.META.get("REMOTE_ADDR", ""),
                keeps_programs=keeps_programs,
            )
        programs = "Your programs go on." if keeps_programs else "Tokens for programs are ended."
        messages.success(
            self.request, f"Your password is changed. Every other device is signed out. {programs}"
        )
        return answer


OTHERS = "others"
"""What the form sends for every other place at once."""


def sign_ins(request: HttpRequest) -> HttpResponse:
    """Where the member is signed in; sign them out at one of those places, or at all others."""
    user, key = cast(User, request.user), request.session.session_key
    if request.method != "POST":
        places = sign_in_list(user=user, key=key, now=timezone.now())
        return render(request, "registration/sign_ins.html", {"places": places})
    which = request.POST.get("which", "")
    if which == OTHERS:
        sign_ins_end_others(user=user, key=key)
        messages.success(request, "Every other device is signed out.")
    elif sign_in_end(user=user, key_hash=which):
        messages.success(request, "You are signed out there.")
    else:
        messages.info(request, "You were not signed in there any more.")
    return redirect("accounts:sign-ins")
