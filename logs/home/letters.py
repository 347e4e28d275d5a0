"""The weekly letter to a coach: the desk's text by mail, sent by a worker, and the link that ends it."""

from collections.abc import Callable
from datetime import datetime
from smtplib import SMTPException

from django.conf import settings
from django.core import signing
from django.core.mail import EmailMessage
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from logs.errors import NotFoundError
from logs.home.models import WeeklyLetter
from logs.home.report.desk import desk_report
from logs.home.services import letter_claim, letter_due, letter_sent, letter_take_back
from logs.jobs.services import Lease, job_fail, job_finish
from logs.people.sight import club_sight

SALT = "logs.weekly_letter"
NOT_TAKEN = (
    "mail_not_taken",
    "The mail server did not take the letter. The desk has the same text.",
)


def letter_run(lease: Lease, *, is_stopping: Callable[[], bool]) -> None:
    """Send the letter of a job, at most once.

    That it goes out is written before it goes: a worker that dies in between sends nothing, where
    it would else go out twice. Since when the next letter tells moves on once this one went, so
    that what a dead worker or a mail server kept back stands in the next.
    """
    now = timezone.now()
    letter = letter_due(lease)
    if letter is not None:
        message, mix_ups = letter_message(letter, now)
        letter_claim(lease, now=timezone.now())
        try:
            message.send()
        except (SMTPException, OSError):
            letter_take_back(lease, now=timezone.now())
            job_fail(lease, code=NOT_TAKEN[0], message=NOT_TAKEN[1], now=timezone.now())
            return
        letter_sent(letter, mix_ups, now=now)
    job_finish(lease, now=timezone.now())


def letter_message(letter: WeeklyLetter, now: datetime) -> tuple[EmailMessage, dict[str, int]]:
    """The letter of a coach with the mix-ups that stand in it.

    It can be ended with one press by a mail program too (RFC 2369, 3.2, and RFC 8058).
    """
    own = letter.membership
    report = desk_report(
        sight=club_sight(actor=own.user, slug=own.club.slug),
        since=letter.since_at,
        mix_ups_before=letter.mix_ups,
        now=now,
    )
    end = settings.SITE_ADDRESS + reverse("logs:letter-end", args=(letter_token(own.pk),))
    text = render_to_string(
        "home/letter.txt", {"report": report, "site": settings.SITE_ADDRESS, "end": end}
    )
    message = EmailMessage(
        # A club's name is one line: a break in it would start a header of its own.
        subject=" ".join(f"{own.club.name}: the desk of the week".split()),
        body=text,
        to=[own.user.email],
        headers={
            "List-Unsubscribe": f"<{end}>",
            "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
        },
    )
    return message, dict(report.mix_ups)


def letter_token(membership_id: int) -> str:
    """What the link that ends a letter holds: it can do nothing else."""
    return signing.dumps(membership_id, salt=SALT)


def letter_membership(token: str) -> int:
    """Whose letter a link ends.

    Raises:
        NotFoundError: It is no such link.
    """
    try:
        membership_id: int = signing.loads(token, salt=SALT)
    except signing.BadSignature as error:
        raise NotFoundError("page") from error
    return membership_id
