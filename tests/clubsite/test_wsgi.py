"""What a request says of its media type besides a boundary is not listened to."""

from io import BytesIO
from typing import Any
from wsgiref.util import setup_testing_defaults

import pytest
from django.core.wsgi import get_wsgi_application

from clubsite.wsgi import application, reading_utf8


def status_of(asked: Any, **said: Any) -> str:
    environ: dict[str, Any] = dict(said)
    setup_testing_defaults(environ)
    told: list[str] = []
    answer = asked(environ, lambda status, headers, exc_info=None: told.append(status))
    list(answer)
    answer.close()
    return told[0]


@pytest.mark.django_db
@pytest.mark.parametrize("charset", ["hex", "punycode", "UTF-16", '"utf-7"', "nothing-known"])
def test_a_charset_means_nothing(charset: str):
    """RFC 8259, section 11: no charset parameter is defined, and adding one has no effect."""
    address = {"PATH_INFO": "/sign-in/", "QUERY_STRING": "next=%2Fsolves%2F%3Fa%3D%C3%A9"}
    address["HTTP_HOST"] = "127.0.0.1"
    kind = f"application/json; charset={charset}"
    assert status_of(application, **address, CONTENT_TYPE=kind) == "200 OK"
    if charset == "hex":  # what the framework alone makes of it
        with pytest.raises(LookupError):
            status_of(get_wsgi_application(), **address, CONTENT_TYPE=kind)


@pytest.mark.django_db
def test_a_parameter_in_another_character_set_is_none_either():
    """RFC 2231, section 4: ``name*=charset'language'value``."""
    address = {"PATH_INFO": "/sign-in/", "HTTP_HOST": "127.0.0.1"}
    kind = "text/plain; x*=nothing-known''a"
    assert status_of(application, **address, CONTENT_TYPE=kind) == "200 OK"
    with pytest.raises(ValueError, match="Invalid encoding"):  # what the framework makes of it
        status_of(get_wsgi_application(), **address, CONTENT_TYPE=kind)


def test_a_boundary_stays():
    seen: list[str] = []

    def look(environ: dict[str, Any], start_response: Any) -> BytesIO:
        seen.append(environ["CONTENT_TYPE"])
        start_response("200 OK", [])
        return BytesIO()

    for kind in ("multipart/form-data; Charset=hex; Boundary=x", "text/csv; header=present", ""):
        status_of(reading_utf8(look), CONTENT_TYPE=kind)
    assert seen == ["multipart/form-data; Boundary=x", "text/csv", ""]
