"""Visits to a desk noted; weekly letters wanted, queued and sent; secret addresses of calendars."""

import hashlib
import secrets
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import transaction
from django.utils.crypto import salted_hmac

from clubsite.accounts.models import User
from logs.errors import ConflictError, NotFoundError
from logs.home.models import CalendarFeed, DeskVisit, WeeklyLetter
from logs.jobs.models import Job, JobKind
from logs.jobs.services import Lease, job_beat, job_hold, jobs_deliver
from logs.people.models import COACHING_ROLES, Membership
from logs.people.sight import ClubSight, coached_club_get, own_membership

LETTER_HOUR = 6
"""On Mondays from this hour on, in the club's time zone, the letter of the week goes out."""
WEEK = timedelta(days=7)


def desk_visit_note(
    *,
    sight: ClubSight,
    since: datetime,
    mix_ups: Mapping[str, int],
    mix_ups_before: Mapping[str, int] | None,
    now: datetime,
) -> None:
    """Keep that the reader opened the desk of a club, and what stood on it.

    Raises:
        NotFoundError: The reader does not coach it.
    """
    if not sight.is_coach:
        raise NotFoundError("club")
    visit = {
        "seen_at": now,
        "since_at": since,
        "mix_ups": dict(mix_ups),
        "mix_ups_before": None if mix_ups_before is None else dict(mix_ups_before),
    }
    if not DeskVisit.objects.filter(membership=sight.membership).update(**visit):
        DeskVisit.objects.update_or_create(membership=sight.membership, defaults=visit)


def week_due(now: datetime, zone: ZoneInfo) -> date:
    """Monday of the last week whose hour for letters has come."""
    local = (now - timedelta(hours=LETTER_HOUR)).astimezone(zone)
    return local.date() - timedelta(days=local.weekday())


@transaction.atomic
def letter_switch(*, actor: User, slug: str, is_wanted: bool, now: datetime) -> None:
    """Have the desk of a club mailed to the actor once a week, or no more. The first comes on Monday.

    Raises:
        NotFoundError: There is no such club, or the actor does not coach it.
        ConflictError: The site sends no mail, or the actor has no e-mail address.
    """
    club = coached_club_get(actor=actor, slug=slug)
    own = own_membership(actor=actor, club=club)
    if not is_wanted:
        WeeklyLetter.objects.filter(membership=own).delete()
        return
    if not settings.SENDS_MAIL or not actor.email:
        raise ConflictError(
            "A letter needs a site that sends mail, and an e-mail address of yours."
        )
    week = week_due(now, ZoneInfo(club.time_zone))
    WeeklyLetter.objects.get_or_create(
        membership=own, defaults={"week_on": week, "since_at": now - WEEK}
    )


def letter_end(*, membership_id: int) -> bool:
    """Send no letter for a membership any more; whether one was wanted. Its link proves who asks."""
    n_deleted, _ = WeeklyLetter.objects.filter(membership=membership_id).delete()
    return bool(n_deleted)


def letters_queue(*, now: datetime) -> int:
    """Queue the letters whose hour has come, each once a week; how many those are.

    The row that is moved on to the week is the proof that its job is made: of two sweeps at once
    one moves it.
    """
    if not settings.SENDS_MAIL:
        return 0
    wanted = WeeklyLetter.objects.filter(membership__role__in=COACHING_ROLES)
    n = 0
    for letter in wanted.select_related("membership__club"):
        own = letter.membership
        week = week_due(now, ZoneInfo(own.club.time_zone))
        if letter.week_on < week:
            n += _letter_queue(letter, own, week, now)
    return n


@transaction.atomic
def _letter_queue(letter: WeeklyLetter, own: Membership, week: date, now: datetime) -> bool:
    rows = WeeklyLetter.objects.filter(pk=letter.pk, week_on__lt=week)
    if not rows.update(week_on=week):
        return False
    job = Job.objects.create(
        kind=JobKind.LETTER, member_id=own.user_id, club_id=own.club_id, made_at=now
    )
    jobs_deliver([job.pk], now=now)
    return True


@transaction.atomic
def letter_due(lease: Lease) -> WeeklyLetter | None:
    """The letter of a job as it is to go out; None where it went or nobody wants it.

    Raises:
        LeaseLostError: The job is not held by this lease any more.
    """
    job = job_hold(lease)
    wanted = WeeklyLetter.objects.select_related("membership__club", "membership__user").filter(
        membership__user=job.member_id,
        membership__club=job.club_id,
        membership__role__in=COACHING_ROLES,
        membership__user__is_active=True,
    )
    return None if job.n_read else wanted.exclude(membership__user__email="").first()


@transaction.atomic
def letter_claim(lease: Lease, *, now: datetime) -> None:
    """Note that the letter of a job goes out, the last thing before it does.

    Raises:
        LeaseLostError: The job is not held by this lease any more.
    """
    job = job_hold(lease)
    job.n_total = job.n_read = 1
    job_beat(job, "n_total", "n_read", now=now)


def letter_sent(letter: WeeklyLetter, mix_ups: Mapping[str, int], *, now: datetime) -> None:
    """Keep since when the next letter tells, and what stood in this one, for what is new in it."""
    WeeklyLetter.objects.filter(pk=letter.pk).update(since_at=now, mix_ups=dict(mix_ups))


@transaction.atomic
def letter_take_back(lease: Lease, *, now: datetime) -> None:
    """Write that a letter did not go out after all.

    Raises:
        LeaseLostError: The job is not held by this lease any more.
    """
    job = job_hold(lease)
    job.n_read = 0
    job_beat(job, "n_read", now=now)


def hash_secret(secret: str) -> str:
    """What a calendar is found by: the SHA-256 of its secret, which has 256 bits."""
    return hashlib.sha256(secret.encode()).hexdigest()


def secret_of_seed(seed: str) -> str:
    """The secret that ``seed`` stands for on this site: a keyed hash (HMAC, RFC 2104, SHA-256)."""
    return salted_hmac("logs.calendar", seed, algorithm="sha256").hexdigest()


def feed_make(*, actor: User, now: datetime) -> None:
    """Make the secret address of the actor's calendar; an older one works no more."""
    seed = secrets.token_hex(16)
    CalendarFeed.objects.update_or_create(
        member=actor,
        defaults={
            "seed": seed,
            "secret_hash": hash_secret(secret_of_seed(seed)),
            "made_at": now,
        },
    )


def feed_withdraw(*, actor: User) -> None:
    """Have the secret address of the actor's calendar work no more."""
    CalendarFeed.objects.filter(member=actor).delete()
