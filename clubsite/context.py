"""What every template can name."""

from django.conf import settings
from django.http import HttpRequest


def site(request: HttpRequest) -> dict[str, object]:
    """The masthead name, also the end of every title; and whether the site sends mail."""
    return {"notebook_name": settings.SITE_NAME, "sends_mail": settings.SENDS_MAIL}
