"""Invitations by mail, where the site has a mail server. No address is kept."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from smtplib import SMTPException
from typing import TYPE_CHECKING

from django.core.mail import send_mail

from logs.errors import ConflictError
from logs.services.throttles import Limit, try_count

if TYPE_CHECKING:
    from clubsite.accounts.models import User

MAIL = Limit(
    scope="mail",
    n_account=60,
    n_address=120,
    window=timedelta(days=1),
    message="Very many invitations were mailed today.",
)
TEXT = """{club} invites you to its notebook.

Open this address to join:
{link}

Or sign in and type this code: {code}

If you do not know the club, leave it be: nothing happens until somebody uses the code.
"""


@dataclass(frozen=True, slots=True)
class Letter:
    """An invitation to be mailed: to whom, to which club, by which link and code."""

    to: str
    club: str
    link: str
    code: str


def invitation_mail(*, actor: "User", letter: Letter, now: datetime, address: str) -> None:
    """Mail an invitation.

    Args:
        actor: The coach who made it; counted for the limit.
        letter: What to send.
        now: When.
        address: The actor's network address; counted too.

    Raises:
        TooManyTriesError: Too many were mailed today.
        ConflictError: The mail server did not take it; the code works all the same.
    """
    try_count(MAIL, actor=actor, address=address, now=now)
    text = TEXT.format(club=letter.club, link=letter.link, code=letter.code)
    # A club's name is one line: a break in it would start a header of its own.
    subject = " ".join(f"Join {letter.club}".split())
    try:
        send_mail(subject, text, None, [letter.to])
    except (SMTPException, OSError) as error:
        raise ConflictError(
            "The mail server did not take the invitation. The code works: pass it on yourself."
        ) from error
