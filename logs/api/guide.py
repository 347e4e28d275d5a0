"""The schema (OpenAPI 3), and a page to read it on."""

from functools import cache
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe
from drf_spectacular.generators import SchemaGenerator

from logs.api.reading_schema import Operation, operations
from logs.reports.tokens import SCOPES


@cache
def made_schema() -> dict[str, Any]:
    """The schema, made once in each process."""
    generator = SchemaGenerator()  # type: ignore[no-untyped-call]  # drf-spectacular gives it no types
    made: dict[str, Any] = generator.get_schema(request=None, public=True)  # type: ignore[no-untyped-call]  # drf-spectacular gives it no types
    return made


@login_not_required
@require_safe
def schema(request: HttpRequest) -> HttpResponse:
    """The schema as JSON; it tells nothing of anybody, so anybody may have it."""
    return JsonResponse(made_schema())


@require_safe
def guide(request: HttpRequest) -> HttpResponse:
    """What programs can ask, drawn from the schema."""
    found: tuple[Operation, ...] = operations(made_schema())
    return render(request, "logs/api.html", {"operations": found, "scopes": SCOPES})
