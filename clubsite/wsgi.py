"""The WSGI application, for waitress (``manage.py serve``) or any other WSGI server."""

import os
from collections.abc import Iterable
from wsgiref.types import StartResponse, WSGIApplication, WSGIEnvironment

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubsite.settings")


def reading_utf8(application: WSGIApplication) -> WSGIApplication:
    """``application``, told of no parameter of the media type but a form's boundary.

    So all requests are read as UTF-8, as JSON is (RFC 8259, sections 8.1 and 11) and forms are
    (WHATWG URL, section 5.1). Django takes any text codec of Python's, though one takes time with
    the square of a body's length, and decodes addresses and parameters before any middleware runs.
    """

    def answer(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        kind, *parameters = environ.get("CONTENT_TYPE", "").split(";")
        kept = [one for one in parameters if one.partition("=")[0].strip().lower() == "boundary"]
        if kept != parameters:
            environ["CONTENT_TYPE"] = ";".join([kind, *kept])
        return application(environ, start_response)

    return answer


application = reading_utf8(get_wsgi_application())
