"""What goes with an account when it is deleted, beside its own rows: the guesses counted for it."""

from typing import Any

from clubsite.accounts.models import User
from clubsite.accounts.throttle import account_key, forget_tries


def forget_account(instance: User, **kwargs: Any) -> None:
    """Delete them; called by the framework's signal, in the transaction of the deletion."""
    forget_tries(account_key(instance.get_username()), f"account {instance.pk}")
