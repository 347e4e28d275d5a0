"""Errors are answered in the site's own words, and give nothing away."""

import pytest
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied, SuspiciousOperation
from django.http import HttpRequest, HttpResponse
from django.test import Client
from django.urls import include, path


@login_not_required
def refuse(request: HttpRequest) -> HttpResponse:
    raise PermissionDenied("canary-403")


@login_not_required
def misread(request: HttpRequest) -> HttpResponse:
    raise SuspiciousOperation("canary-400")


@login_not_required
def fail(request: HttpRequest) -> HttpResponse:
    raise ZeroDivisionError("canary-500")


urlpatterns = [
    path("refused/", refuse),
    path("misread/", misread),
    path("failed/", fail),
    path("", include("clubsite.urls")),
]


@pytest.mark.urls(__name__)
@pytest.mark.django_db
@pytest.mark.parametrize(
    ("address", "status", "heading"),
    [
        ("/misread/", 400, "That request could not be read"),
        ("/refused/", 403, "You may not do that"),
        ("/nowhere/", 404, "There is no such page"),
        ("/failed/", 500, "The site made a mistake"),
    ],
)
def test_each_error_has_a_page_of_its_own(address: str, status: int, heading: str):
    response = Client(raise_request_exception=False).get(address)
    assert response.status_code == status
    assert f"<h1>{heading}</h1>" in response.text
    assert "canary" not in response.text
    assert "Traceback" not in response.text
    assert response.headers["Content-Security-Policy"]
    assert "no-store" in response.headers["Cache-Control"]


@pytest.mark.django_db
def test_a_form_without_its_token_is_explained():
    response = Client(enforce_csrf_checks=True).post(
        "/sign-in/", {"username": "a", "password": "b"}
    )
    assert response.status_code == 403
    assert "That form was too old" in response.text
