"""Every refusal in one shape: ``{"error": {"code", "message", "field", "line", "problems"}}``."""

from collections.abc import Iterator, Mapping
from typing import Any

from django.conf import settings
from django.core.exceptions import PermissionDenied, RequestDataTooBig, ValidationError
from django.http import Http404, HttpRequest, JsonResponse
from rest_framework import exceptions, serializers
from rest_framework.response import Response

from logs.errors import (
    ConflictError,
    LogsError,
    NotAllowedError,
    NotFoundError,
    TooManyTriesError,
    UploadRejectedError,
)

UNPROCESSABLE = 422


PLACE = "/api/"


NOT_THERE = "There is nothing here, or nothing that is yours to see."


STATUS = {NotFoundError: 404, NotAllowedError: 403, ConflictError: 409, TooManyTriesError: 429}


class Problem(serializers.Serializer[Any]):
    """One thing that is wrong with what was sent; line and field where there is one to name."""

    code = serializers.CharField(read_only=True, help_text="Name of the reason; it never changes.")
    message = serializers.CharField(read_only=True, help_text="What is wrong, for people.")
    field = serializers.CharField(
        read_only=True, allow_null=True, help_text="The field it is about; null for none."
    )
    line = serializers.IntegerField(
        read_only=True, allow_null=True, help_text="The line of a log it is about; null for none."
    )


class ErrorDetail(Problem):
    """The first thing that is wrong, and all of them."""

    problems = serializers.ListField(
        child=Problem(), read_only=True, help_text="All that is wrong, this among it."
    )


class Error(serializers.Serializer[Any]):
    """A refusal. The code never changes; the message is for people."""

    error = ErrorDetail(read_only=True, help_text="The first thing that is wrong, and all.")


class TooLargeError(exceptions.APIException):
    """A body larger than is read."""

    status_code = 413
    default_code = "too_large"


class ScopeError(exceptions.PermissionDenied):
    """The token is not good for what was asked."""

    default_code = "scope_missing"


def answer_error(error: Exception, context: Mapping[str, Any]) -> Response | None:
    """The answer to what a view raised; None for what is a fault of ours."""
    if isinstance(error, LogsError):
        return _refusal(error)
    if isinstance(error, ValidationError):
        return _response(UNPROCESSABLE, list(_invalid(error)))
    if isinstance(error, serializers.ValidationError):
        return _response(UNPROCESSABLE, list(_unreadable(error.detail)))
    if isinstance(error, Http404):
        return _refusal(NotFoundError("page"))
    if isinstance(error, PermissionDenied):
        return _refusal(NotAllowedError(str(error)))
    if isinstance(error, RequestDataTooBig):
        most = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        words = f"Fields hold at most {most:,} bytes; send a log in the field “file”, as a file."
        return _framework(TooLargeError(words))
    if isinstance(error, exceptions.APIException):
        return _framework(error)
    return None


def is_asked(request: HttpRequest) -> bool:
    """Whether a request is one to the API, whatever became of it."""
    return request.path_info.startswith(PLACE)


def answer_fault() -> JsonResponse:
    """The answer where a view of ours broke. It tells nothing of the inside."""
    return _bare(500, "server_error", "The fault is ours and has been written down. Try again.")


def answer_unread() -> JsonResponse:
    """The answer to a request that was given up before a view had it."""
    return _bare(400, "bad_request", "The request could not be read.")


def _bare(status: int, code: str, message: str) -> JsonResponse:
    """An answer that needs no view and no database."""
    problem = _problem(code, message)
    return JsonResponse({"error": problem | {"problems": [problem]}}, status=status)


def _problem(
    code: str, message: str, field: str | None = None, line: int | None = None
) -> dict[str, Any]:
    whole = message.encode(errors="replace").decode()  # what it repeats may hold half a character
    return {"code": code, "message": whole, "field": field or None, "line": line or None}


def _response(
    status: int, problems: list[dict[str, Any]], headers: dict[str, str] | None = None
) -> Response:
    body = {"error": problems[0] | {"problems": problems}}
    return Response(body, status=status, headers=headers)


def _refusal(error: LogsError) -> Response:
    if isinstance(error, UploadRejectedError):
        problems = [_problem(p.code, p.message, p.field, p.line) for p in error.problems]
        return _response(UNPROCESSABLE, problems)
    message = NOT_THERE if isinstance(error, NotFoundError) else error.message
    status = STATUS.get(type(error), UNPROCESSABLE)
    headers = {}
    if isinstance(error, TooManyTriesError):
        headers["Retry-After"] = str(error.wait_s)
    return _response(status, [_problem(error.code, message, error.field)], headers)


def _invalid(error: ValidationError) -> Iterator[dict[str, Any]]:
    """What a service found wrong."""
    if not hasattr(error, "error_dict"):
        yield from (_problem("invalid", message) for message in error.messages)
        return
    for field, messages in error.message_dict.items():
        name = None if field == "__all__" else field
        yield from (_problem("invalid", message, name) for message in messages)


def _unreadable(detail: object, field: str = "") -> Iterator[dict[str, Any]]:
    """What the fields of a body or an address found wrong, ``member.0`` being a list's first."""
    if isinstance(detail, dict):
        for name, inner in detail.items():
            place = field if name == "non_field_errors" else f"{field}.{name}".strip(".")
            yield from _unreadable(inner, place)
    elif isinstance(detail, list):
        for inner in detail:
            yield from _unreadable(inner, field)
    else:
        yield _problem("invalid", str(detail), field)


def _framework(error: exceptions.APIException) -> Response:
    headers = {}
    challenge = getattr(error, "auth_header", None)
    if challenge:
        headers["WWW-Authenticate"] = str(challenge)
    code = str(error.default_code if isinstance(error.detail, list) else error.get_codes())
    return _response(error.status_code, [_problem(code, str(error.detail))], headers)
