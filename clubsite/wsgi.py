"""The WSGI application, for waitress (``manage.py serve``) or any other WSGI server."""

import os
from collections.abc import Iterable
from typing import TYPE_CHECKING

from django.core.wsgi import get_wsgi_application

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubsite.settings")


def reading_utf8(application: "WSGIApplication") -> "WSGIApplication":
    """``application``, told of no ``charset``, so that it reads all requests as UTF-8.

    In JSON the parameter means nothing (RFC 8259, section 11), and forms are UTF-8 (WHATWG URL,
    section 5.1). Django takes any text codec of Python's, some of which need minutes for a body of
    a megabyte, and decodes the address with it before any middleware runs.
    """

    def answer(environ: "WSGIEnvironment", start_response: "StartResponse") -> Iterable[bytes]:
        kind, *parameters = environ.get("CONTENT_TYPE", "").split(";")
        kept = [one for one in parameters if not one.strip().lower().startswith("charset")]
        if kept != parameters:
            environ["CONTENT_TYPE"] = ";".join([kind, *kept])
        return application(environ, start_response)

    return answer


application = reading_utf8(get_wsgi_application())
