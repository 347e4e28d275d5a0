"""When a coach last opened a desk, who wants a weekly letter of it, and calendars by a secret address."""

from django.conf import settings
from django.db import models

from logs import limits
from logs.people.models import Membership


class DeskVisit(models.Model):
    """A coach's last visits to the desk of a club, so that it tells what is new since.

    Attributes:
        seen_at: When it was last opened.
        since_at: Since when it told that time.
        mix_ups: How often each mix-up had happened by then, by a key of ours.
        mix_ups_before: The same at ``since_at``; null where that is not known.
    """

    membership = models.OneToOneField(
        Membership, on_delete=models.CASCADE, related_name="desk_visit"
    )
    seen_at = models.DateTimeField()
    since_at = models.DateTimeField()
    mix_ups = models.JSONField(default=dict)
    mix_ups_before = models.JSONField(null=True)

    def __str__(self) -> str:
        return f"visit {self.pk}"


class WeeklyLetter(models.Model):
    """A coach's wish for the desk by mail once a week; without a row no letter is sent.

    Attributes:
        week_on: Monday of the last week that was dealt with: its letter was queued, or the wish
            came after its hour.
        since_at: Since when the next letter tells.
        mix_ups: How often each mix-up had happened by then; null before the first letter.
    """

    membership = models.OneToOneField(
        Membership, on_delete=models.CASCADE, related_name="weekly_letter"
    )
    week_on = models.DateField()
    since_at = models.DateTimeField()
    mix_ups = models.JSONField(null=True)

    def __str__(self) -> str:
        return f"letter {self.pk}"


class CalendarFeed(models.Model):
    """The secret address of a member's calendar; withdrawn, its row is gone.

    Attributes:
        seed: What the secret is worked out from with the site's secret key, so that its member may
            see it again and a stolen database does not tell it.
        secret_hash: SHA-256 of the secret, by which it is found.
    """

    member = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="calendar_feed"
    )
    seed = models.CharField(max_length=32)
    secret_hash = models.CharField(max_length=limits.SHA256, unique=True)
    made_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"calendar {self.pk}"
