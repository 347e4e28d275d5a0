"""Signing in and out, and changing the password, with the framework's own machinery."""

from django.contrib import messages
from django.contrib.auth import views
from django.contrib.auth.forms import PasswordChangeForm
from django.http import HttpResponse
from django.urls import reverse_lazy


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
