"""The logs application."""

from django.apps import AppConfig


class LogsConfig(AppConfig):
    """Logs, their solves, and what is read from them."""

    name = "logs"
    default_auto_field = "django.db.models.BigAutoField"
