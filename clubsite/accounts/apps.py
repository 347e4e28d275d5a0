"""The accounts application."""

from django.apps import AppConfig
from django.contrib.auth.signals import user_logged_in
from django.db.models.signals import pre_delete


class AccountsConfig(AppConfig):
    """Accounts; its tables are labelled ``accounts``."""

    name = "clubsite.accounts"
    label = "accounts"

    def ready(self) -> None:
        """Have each sign-in note its time, and each account take its traces with it."""
        from clubsite.accounts.erasure import forget_account  # noqa: PLC0415 - imports models, which are ready only now
        from clubsite.accounts.sessions import note_sign_in  # noqa: PLC0415 - imports models, which are ready only now

        user_logged_in.connect(note_sign_in, dispatch_uid="note_sign_in")
        pre_delete.connect(
            forget_account, sender=self.get_model("User"), dispatch_uid="forget_account"
        )
