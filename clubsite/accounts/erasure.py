"""What goes with an account when it is deleted, beside its own rows: the sign-ins counted for it."""

from typing import Any

from axes.models import AccessAttempt, AccessFailureLog, AccessLog

from clubsite.accounts.models import User
from clubsite.accounts.throttle import counted_form


def forget_account(instance: User, **kwargs: Any) -> None:
    """Delete them; called by the framework's signal, in the transaction of the deletion."""
    name = counted_form(instance.get_username())
    for counted in (AccessAttempt, AccessFailureLog, AccessLog):
        counted.objects.filter(username__iexact=name).delete()
