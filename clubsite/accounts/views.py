"""Signing in and out, where one is signed in, and changing the password."""

from typing import cast

from django.contrib import messages
from django.contrib.auth import views
from django.contrib.auth.forms import PasswordChangeForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.utils import timezone

from clubsite.accounts.models import User
from clubsite.accounts.sessions import sign_in_end, sign_in_list, sign_ins_end_others


class SignInView(views.LoginView):
    """The sign-in page; somebody already signed in is sent on."""

    redirect_authenticated_user = True


class SignOutView(views.LogoutView):
    """Ends the session; answers to POST alone."""


class PasswordChangeView(views.PasswordChangeView):
    """Changes the password. Sessions on other devices end, as they hold the old one's hash."""

    template_name = "registration/password_change.html"
    success_url = reverse_lazy("accounts:password-change")

    def form_valid(self, form: PasswordChangeForm) -> HttpResponse:
        """Store the new password and say what that did."""
        messages.success(
            self.request, "Your password is changed. Every other device is signed out."
        )
        return super().form_valid(form)


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
