"""The shell as a Django application, so that its templates, files and commands are found."""

from django.apps import AppConfig
from django.db.backends.signals import connection_created

from clubsite.databases import keep_database_to_owner


class ClubsiteConfig(AppConfig):
    """The shell; it has no tables."""

    name = "clubsite"

    def ready(self) -> None:
        """Have the database's file be closed to others as soon as it is opened."""
        connection_created.connect(keep_database_to_owner, dispatch_uid="keep_database_to_owner")
