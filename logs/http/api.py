"""What all endpoints share: the scope a token needs, limits, fields read, one way to answer."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import wraps
from typing import IO, Any, ClassVar

from django.conf import settings
from django.http.response import HttpResponseBase
from django.utils.decorators import method_decorator
from django.views.decorators.http import conditional_page
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.exceptions import ParseError, UnsupportedMediaType
from rest_framework.negotiation import BaseContentNegotiation
from rest_framework.parsers import BaseParser, JSONParser, MultiPartParser
from rest_framework.permissions import IsAuthenticated
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import Serializer
from rest_framework.views import APIView

from logs.errors import NotFoundError
from logs.http.faults import Error, ScopeError, TooLargeError, answer_error
from logs.http.schema import serializer_of

Handler = Callable[..., Any]


Values = dict[str, Any]


CREATED, THERE_BEFORE, EMPTY = 201, 200, 204


READ, UPLOAD, MANAGE = "read", "upload", "manage"


MAX_BODY_BYTES = 1024 * 1024


MAX_TEXT_BYTES = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
"""Of a body that is read in memory: all but files."""


REFUSALS = {
    400: "The body is not JSON, or not the form it says it is.",
    401: "No token was shown, or one that does not work.",
    403: "The token lacks the scope, or the member may not do this.",
    404: "There is nothing here, or nothing that is yours to see.",
    409: "What was asked for no longer fits what is stored.",
    413: "The body is larger than is read.",
    415: "The body is of a media type that is not read.",
    422: "A field, or a part of the address, cannot be taken.",
    429: "Too often: wait as many seconds as Retry-After says.",
}


FILES = {"application/json": OpenApiTypes.OBJECT}
"""What files hold, by media type, where a schema can say it."""


OF_A_READ = (401, 403, 404, 422, 429)


class PlainJSONParser(JSONParser):
    """JSON; nesting that no log has is refused like any other bad JSON."""

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> dict[Any, Any]:
        """The values of the body.

        Raises:
            ParseError: It is no JSON.
        """
        try:
            return super().parse(stream, media_type, parser_context)
        except RecursionError as error:
            raise ParseError("The JSON is nested too deeply.") from error


class OneAnswer(BaseContentNegotiation):
    """There is one way to answer, whatever a program says it accepts (RFC 9110, section 12.4.1)."""

    def select_parser(self, request: Request, parsers: list[BaseParser]) -> BaseParser | None:  # type: ignore[override]  # the stubs ask for wider types than the framework passes
        """The parser of the body's media type; None where there is none."""
        kind = media_type_of(request)
        return next((parser for parser in parsers if parser.media_type == kind), None)

    def select_renderer(  # type: ignore[override]  # as above
        self, request: Request, renderers: list[BaseRenderer], format_suffix: str | None = None
    ) -> tuple[BaseRenderer, str]:
        """The one renderer."""
        return renderers[0], str(renderers[0].media_type)


@method_decorator(conditional_page, name="dispatch")
class ApiView(APIView):
    """An endpoint. A GET that carries the ETag of the same answer is answered 304, and empty.

    RFC 9110, sections 8.8.3 and 13.1.2, by the framework's own middleware.
    """

    permission_classes = (IsAuthenticated,)
    parser_classes: Sequence[type[BaseParser]] = (PlainJSONParser,)
    renderer_classes = (JSONRenderer,)
    content_negotiation_class = OneAnswer
    metadata_class = None  # OPTIONS is refused like any method that is not there
    max_body_bytes: ClassVar[int] = MAX_BODY_BYTES

    def finalize_response(
        self, request: Request, response: Response, *args: Any, **kwargs: Any
    ) -> Response:
        """The answer; a read may be kept by the program that asked, and asked about again."""
        if request.method == "GET" and response.status_code == THERE_BEFORE:
            response.headers.setdefault("Cache-Control", "private, no-cache")
        return super().finalize_response(request, response, *args, **kwargs)

    def get_exception_handler(self) -> Callable[..., Response | None]:
        """What answers where a method raises."""
        return answer_error

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Let the request in, or not.

        Raises:
            TooLargeError: The body is larger than is read.
        """
        super().initial(request, *args, **kwargs)
        length = str(request.META.get("CONTENT_LENGTH") or "0")
        most, hint = self.max_body_bytes, ""
        if media_type_of(request) != MultiPartParser.media_type and most > MAX_TEXT_BYTES:
            most, hint = MAX_TEXT_BYTES, f" as JSON; send a file as {MultiPartParser.media_type}"
        if not length.isdecimal() or int(length[:20]) > most:
            raise TooLargeError(f"At most {most:,} bytes are read{hint}.")


class Nowhere(ApiView):
    """Any address under the API's that is none."""

    @extend_schema(exclude=True)
    def _nothing(self, request: Request, **kwargs: Any) -> Response:
        raise NotFoundError("page")

    get = post = put = patch = delete = _nothing


@dataclass(frozen=True, slots=True)
class Reply:
    """A report with a status of its own."""

    report: Any
    status: int


def answers(
    report: type | None,
    *,
    scope: str = READ,
    query: type[Serializer[Any]] | None = None,
    body: type[Serializer[Any]] | dict[str, Any] | None = None,
    status: int = 200,
    also: int | None = None,
    is_list: bool = False,
    file: tuple[str, ...] = (),
    refused: tuple[int, ...] = (),
) -> Callable[[Handler], Handler]:
    """Have a view's method take what is read of the request, and answer with a report.

    The method is called with the actor, what its address names, ``query`` as read when there is
    one, and ``sent``, the body as read, when there is a ``body``.

    Args:
        report: The dataclass it answers with; None for an empty answer.
        scope: What a token must be good for.
        query: The fields read of the address.
        body: The fields read of the body; or, by media type, where there are several.
        status: Of an answer that is no `Reply`.
        also: Another status that a `Reply` may have.
        is_list: Whether it answers with several.
        file: The media types of a file that it answers with in the place of a report.
        refused: Statuses of refusals besides those of every such method.
    """
    serializer = None if report is None else serializer_of(report)
    shape: Any = serializer(many=True) if serializer and is_list else serializer
    codes = (*OF_A_READ, *refused) if body is None and scope == READ else tuple(REFUSALS)
    answered: dict[Any, Any] = {code: shape for code in (status, also) if code is not None}
    if file:
        answered = {(status, kind): FILES.get(kind, OpenApiTypes.BINARY) for kind in file}
    documented = extend_schema(
        request=body,
        parameters=None if query is None else [query],
        responses=answered
        | {code: OpenApiResponse(Error, description=REFUSALS[code]) for code in codes},
    )

    def wrap(handler: Handler) -> Handler:
        @documented
        @wraps(handler)
        def answer(view: ApiView, request: Request, **arguments: Any) -> HttpResponseBase:
            if scope not in getattr(request.auth, "scopes", ()):
                raise ScopeError(f"This token is not good for it: it lacks the scope “{scope}”.")
            if query is not None:
                arguments["query"] = _read(query, request.query_params)
            if body is not None:
                kinds = body if isinstance(body, dict) else {"application/json": body}
                kind = media_type_of(request)
                if kind and kind not in kinds:  # an empty form would be read as a “no” to all
                    raise UnsupportedMediaType(kind)
                arguments["sent"] = _read(
                    kinds.get(kind) or next(iter(kinds.values())), request.data
                )
            result = handler(view, request, **arguments)
            if isinstance(result, HttpResponseBase):
                return result
            reply = result if isinstance(result, Reply) else Reply(result, status)
            if serializer is None:
                return Response(status=reply.status)
            return Response(serializer(reply.report, many=is_list).data, status=reply.status)

        answer.scope = scope  # type: ignore[attr-defined]  # read by logs.http.schema
        return answer

    return wrap


def _read(kind: type[Serializer[Any]], data: object) -> dict[str, Any]:
    reader = kind(data=data)
    reader.is_valid(raise_exception=True)
    return dict(reader.validated_data)


def media_type_of(request: Request) -> str:
    """What the body says it is; empty where it says nothing."""
    return str(request.content_type or "").partition(";")[0].strip().lower()
