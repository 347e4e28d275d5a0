"""The accounts application."""

from django.apps import AppConfig
from django.contrib.auth.signals import user_logged_in

from clubsite.accounts.sessions import note_sign_in


class AccountsConfig(AppConfig):
    """Accounts; its tables are labelled ``accounts``."""

    name = "clubsite.accounts"
    label = "accounts"

    def ready(self) -> None:
        """Have each sign-in note its time."""
        user_logged_in.connect(note_sign_in, dispatch_uid="note_sign_in")
