"""The logs application."""

from django.apps import AppConfig


class LogsConfig(AppConfig):
    """Logs, their solves, and what is read from them."""

    name = "logs"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Let rooms listen to those below them."""
        from logs.people.services import tokens  # noqa: PLC0415 - models are ready only now
        from logs.solves.services import relabel  # noqa: PLC0415 - so they are

        tokens.listen()
        relabel.listen()
