"""The shell as a Django application, so that its templates, files and commands are found."""

from django.apps import AppConfig


class ClubsiteConfig(AppConfig):
    """The shell; it has no tables."""

    name = "clubsite"
