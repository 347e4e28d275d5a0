"""Addresses of the account pages."""

from django.urls import path
from django.views.decorators.http import require_http_methods, require_POST

from clubsite.accounts import views

app_name = "accounts"

# The framework's form views answer PUT as a POST; pages here are asked in three ways and no more.
_page = require_http_methods(["GET", "HEAD", "POST"])

urlpatterns = [
    path("sign-in/", _page(views.SignInView.as_view()), name="sign-in"),
    path("sign-out/", require_POST(views.SignOutView.as_view()), name="sign-out"),
    path("password/", _page(views.PasswordChangeView.as_view()), name="password-change"),
    path("sign-ins/", _page(views.sign_ins), name="sign-ins"),
]
