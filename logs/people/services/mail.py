"""A member's e-mail address, kept once they opened the link mailed there; a password forgotten.

Only where the site sends mail (``CLUBSITE_MAIL``). An address is never needed for anything else.
"""

import logging
from collections.abc import Callable
from datetime import datetime, timedelta
from smtplib import SMTPException

from django.conf import settings
from django.contrib.auth.tokens import default_token_generator
from django.core import signing
from django.core.mail import send_mail
from django.db import transaction
from django.db.models import Q
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from clubsite.accounts.models import User
from clubsite.accounts.names import caseless_name
from clubsite.accounts.throttle import Limit
from logs.errors import ConflictError, NotFoundError, TooManyTriesError
from logs.people.models import Verb
from logs.people.services.passwords import try_count
from logs.people.services.trail import event_write

logger = logging.getLogger(__name__)

LINK_LIFE = timedelta(days=1)
SALT = "logs.mail_address"

MAIL_LINK = Limit(
    scope="mail_link",
    n_account=10,
    n_address=60,
    window=timedelta(hours=1),
    message="Very many letters were asked for just now.",
)

ADDRESS_LETTER = """Somebody signed in to {site} as {name} wants this address kept for {name}.

Is that you? Then open this address within a day, in the browser you are signed in with:
{link}

If not, leave it be: the address is not kept.
"""

FORGOTTEN_LETTER = """Somebody asked {site} for a new password for {name}.

Is that you? Then open this address within an hour and choose one:
{link}

If not, leave it be: your password stays as it is.
"""

MakeLink = Callable[[str], str]
"""Makes the full address of a page out of its token, or of the number and token together."""


def mail_check() -> None:
    """Make sure that the site sends mail.

    Raises:
        NotFoundError: It does not, so that there are no such pages.
    """
    if not settings.SENDS_MAIL:
        raise NotFoundError("page")


def address_ask(
    *, actor: User, mail_address: str, link: MakeLink, address: str, now: datetime
) -> None:
    """Mail a link to an address that the actor wants kept; it is kept once they open it.

    Args:
        actor: Whose address it is to be.
        mail_address: The address.
        link: Makes the full address of the page that keeps it.
        address: Where the request comes from.
        now: When.

    Raises:
        TooManyTriesError: Too many letters were asked for.
        ConflictError: The mail server did not take it.
    """
    mail_check()
    try_count(MAIL_LINK, actor=actor, address=address, now=now)
    token = signing.dumps({"user": actor.pk, "mail": mail_address}, salt=SALT)
    text = ADDRESS_LETTER.format(
        site=settings.SITE_NAME, name=actor.get_username(), link=link(token)
    )
    _send("Is this your address?", text, mail_address)


def address_of_token(*, actor: User, token: str) -> str:
    """The address that a mailed link would keep for the actor.

    Raises:
        NotFoundError: It is no such link, older than a day, or somebody else's.
    """
    mail_check()
    try:
        asked = signing.loads(token, salt=SALT, max_age=LINK_LIFE)
    except signing.BadSignature as error:
        raise NotFoundError("page") from error
    if asked["user"] != actor.pk:
        raise NotFoundError("page")
    mail_address: str = asked["mail"]
    return mail_address


@transaction.atomic
def address_keep(*, actor: User, mail_address: str, now: datetime, origin: str = "") -> None:
    """Keep an address for the actor; an empty one forgets what was kept."""
    User.objects.filter(pk=actor.pk).update(email=mail_address)
    detail = {"is_kept": bool(mail_address)}
    event_write(Verb.MAIL_ADDRESS, actor=actor, member=actor, now=now, detail=detail, origin=origin)


def password_mail(*, typed: str, link: MakeLink, address: str, now: datetime) -> None:
    """Mail a link for a new password to whoever has this user name or address, if anybody has.

    Nobody is told whether there is such an account.

    Raises:
        TooManyTriesError: Too many letters were asked for from this address.
    """
    mail_check()
    try_count(MAIL_LINK, actor=None, address=address, now=now)
    meant = User.objects.filter(Q(name_key=caseless_name(typed)) | Q(email__iexact=typed))
    for user in meant.filter(is_active=True).exclude(email=""):
        number = urlsafe_base64_encode(force_bytes(user.pk))
        token = default_token_generator.make_token(user)
        text = FORGOTTEN_LETTER.format(
            site=settings.SITE_NAME, name=user.get_username(), link=link(f"{number}/{token}")
        )
        try:
            try_count(MAIL_LINK, actor=user, address=f"letters to {user.pk}", now=now)
            _send("A new password", text, user.email)
        except (ConflictError, TooManyTriesError):
            logger.warning("a link for a new password was not mailed")


def _send(subject: str, text: str, to: str) -> None:
    try:
        send_mail(f"{settings.SITE_NAME}: {subject}", text, None, [to])
    except (SMTPException, OSError) as error:
        raise ConflictError("The mail server did not take the letter. Try again later.") from error
