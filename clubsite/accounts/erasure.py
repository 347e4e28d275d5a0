"""What goes with an account when it is deleted: its sessions, and the sign-ins counted for it."""

from typing import Any

from axes.models import AccessAttempt, AccessFailureLog, AccessLog
from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.models import Session

from clubsite.accounts.models import User
from clubsite.accounts.throttle import counted_form


def forget_account(instance: User, **kwargs: Any) -> None:
    """Delete them; called by the framework's signal, in the transaction of the deletion."""
    owner = str(instance.pk)
    for session in Session.objects.iterator():
        if session.get_decoded().get(SESSION_KEY) == owner:
            session.delete()
    name = counted_form(instance.get_username())
    for counted in (AccessAttempt, AccessFailureLog, AccessLog):
        counted.objects.filter(username__iexact=name).delete()
