"""What was done, and who looked: an account that is only ever added to."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from logs.models.clubs import Club


class Verb(models.TextChoices):
    """What an event tells of."""

    LOOK = "look", "looked"
    CLUB_FOUND = "club_found", "founded the club"
    CLUB_CLOSE = "club_close", "closed the club"
    JOIN = "join", "joined the club"
    LEAVE = "leave", "left the club"
    REMOVE = "remove", "removed somebody from the club"
    RENAME = "rename", "changed the name shown in the club"
    ROLE = "role", "changed a role"
    HAND_OVER = "hand_over", "handed the club over"
    VISIBILITY = "visibility", "changed who sees the log"
    RESEARCH = "research", "changed whether sightings go into research exports"
    INVITE = "invite", "made an invitation"
    INVITE_WITHDRAW = "invite_withdraw", "withdrew an invitation"
    TOKEN_MAKE = "token_make", "made a token for programs"
    TOKEN_WITHDRAW = "token_withdraw", "withdrew a token for programs"
    EXPORT = "export", "took a copy of everything"
    ERASE = "erase", "erased an account"


class AuditEvent(models.Model):
    """One thing that somebody did, or one look at somebody else's page.

    The database refuses to change or delete a row; it lets a row forget whom it names, which is
    how an account is erased.

    Attributes:
        actor: Who did it; null once they are erased, or where nobody signed in did.
        member: Whom it was about; null where it was about nobody, or once they are erased.
        page: For a look, the kind of page; a look counts once for viewer, member, page and day.
        on: The day of ``at`` in UTC.
        detail: Settings before and after. Never a name, a note or a code.
        origin: The network ``actor`` came from, its last part left out; empty when not known.
    """

    at = models.DateTimeField()
    on = models.DateField()
    verb = models.CharField(max_length=20, choices=Verb.choices)
    actor = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="events_made"
    )
    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="events_about"
    )
    club = models.ForeignKey(Club, on_delete=models.SET_NULL, null=True, related_name="events")
    page = models.CharField(max_length=20, blank=True)
    detail = models.JSONField(default=dict)
    origin = models.CharField(max_length=50, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("actor", "member", "page", "on"),
                condition=Q(verb=Verb.LOOK),
                name="audit_event_look_once_a_day",
            ),
            models.CheckConstraint(
                name="audit_event_page_of_look",
                condition=(Q(verb=Verb.LOOK) & ~Q(page="")) | (~Q(verb=Verb.LOOK) & Q(page="")),
            ),
            models.CheckConstraint(
                name="audit_event_verb_known", condition=Q(verb__in=Verb.values)
            ),
        )
        indexes = (models.Index(fields=("member", "-at"), name="audit_event_about"),)

    def __str__(self) -> str:
        return f"{self.verb} {self.pk}"
