"""Addresses of the account pages."""

from django.urls import path

from clubsite.accounts import views

app_name = "accounts"

urlpatterns = [
    path("sign-in/", views.SignInView.as_view(), name="sign-in"),
    path("sign-out/", views.SignOutView.as_view(), name="sign-out"),
    path("password/", views.PasswordChangeView.as_view(), name="password-change"),
]
