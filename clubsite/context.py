"""What every template can name."""

from django.conf import settings
from django.http import HttpRequest


def site(request: HttpRequest) -> dict[str, str]:
    """The site's name, for the masthead and the title bar."""
    return {"site_name": settings.SITE_NAME}
