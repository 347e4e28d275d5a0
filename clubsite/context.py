"""What every template can name."""

from django.conf import settings
from django.http import HttpRequest


def site(request: HttpRequest) -> dict[str, str]:
    """The masthead name, also the end of every title."""
    return {"notebook_name": settings.SITE_NAME}
