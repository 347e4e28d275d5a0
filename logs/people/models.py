"""Clubs, and who is in them."""

from functools import cache
from zoneinfo import available_timezones

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

from logs import limits


def validate_time_zone(name: str) -> None:
    """Refuse what is no IANA time zone.

    Raises:
        ValidationError: ``name`` is not one.
    """
    if name not in _time_zones():
        raise ValidationError(f"{name!r} is no IANA time zone, such as Europe/Oslo.")


@cache  # it walks through a folder of 600 files
def _time_zones() -> set[str]:
    return available_timezones()


class Role(models.TextChoices):
    """What a person is in a club. An owner is a coach too."""

    OWNER = "owner"
    COACH = "coach"
    MEMBER = "member"


COACHING_ROLES = (Role.OWNER, Role.COACH)


PRACTICE_CAP = 30
"""Drills a day where a coach chose no other number. Our own choice: no number is proven for hands,
so it is small, and the coach's to change."""


MOST_PRACTICE = 200
"""The highest number of drills a day that a coach may choose; our own choice too."""


class Visibility(models.TextChoices):
    """Who but the member sees a member's log."""

    ONLY_ME = "only_me", "only me"
    COACH = "coach", "my coaches"
    CLUB = "club", "everyone in the club"


class Club(models.Model):
    """A club. Times without an offset in its members' logs are read in its zone.

    ``practice_cap`` is how many drills, and a third of the answers of the practice page, its coaches want
    a member to do in a day. ``contact_name`` and ``contact_reach`` are who answers for the club and
    how to reach them, as its owner wrote it for anybody to read; ``contact_by`` wrote it.
    """

    name = models.CharField(max_length=limits.CLUB_NAME)
    slug = models.SlugField(max_length=limits.SLUG, unique=True)
    time_zone = models.CharField(
        max_length=limits.TIME_ZONE, default="UTC", validators=[validate_time_zone]
    )
    practice_cap = models.PositiveSmallIntegerField(default=PRACTICE_CAP)
    contact_name = models.CharField(max_length=limits.CONTACT, blank=True)
    contact_reach = models.CharField(max_length=limits.CONTACT, blank=True)
    contact_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="+",
    )

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="club_practice_cap_in_bounds",
                condition=models.Q(practice_cap__range=(1, MOST_PRACTICE)),
            ),
            models.CheckConstraint(name="club_named", condition=~models.Q(name="")),
            models.CheckConstraint(name="club_has_slug", condition=~models.Q(slug="")),
        )

    def __str__(self) -> str:
        return self.name


class Membership(models.Model):
    """A person in a club, under the name the club knows them by.

    ``is_in_research`` is their own word that their sightings may go into the club's research export.
    """

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="memberships")
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="memberships"
    )
    role = models.CharField(max_length=10, choices=Role.choices, default=Role.MEMBER)
    display_name = models.CharField(max_length=limits.DISPLAY_NAME)
    visibility = models.CharField(
        max_length=10, choices=Visibility.choices, default=Visibility.ONLY_ME
    )
    is_in_research = models.BooleanField(default=False)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("club", "user"), name="membership_once_in_club"),
            models.CheckConstraint(
                name="membership_role_known", condition=models.Q(role__in=Role.values)
            ),
            models.CheckConstraint(
                name="membership_visibility_known",
                condition=models.Q(visibility__in=Visibility.values),
            ),
            models.UniqueConstraint(
                fields=("club",),
                condition=models.Q(role=Role.OWNER),
                name="membership_one_owner",
                violation_error_message="This club has an owner already.",
            ),
            models.CheckConstraint(name="membership_named", condition=~models.Q(display_name="")),
        )

    def __str__(self) -> str:
        return self.display_name

    @property
    def is_coach(self) -> bool:
        """Whether they coach the club, as its owner or as one of its coaches."""
        return self.role in COACHING_ROLES


class Group(models.Model):
    """Some of a club's people under a name that its coaches gave; only coaches see it.

    Attributes:
        members: Who is in it; a person may be in any number of groups.
    """

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="groups")
    name = models.CharField(max_length=limits.LABEL)
    members = models.ManyToManyField(Membership, related_name="groups")

    class Meta:
        constraints = (
            models.UniqueConstraint(F("club"), Lower("name"), name="group_once_in_club"),
            models.CheckConstraint(name="group_named", condition=~models.Q(name="")),
        )

    def __str__(self) -> str:
        return self.name


class Scope(models.TextChoices):
    """What a token lets a program do, in its member's name."""

    READ = "read"
    UPLOAD = "upload"
    MANAGE = "manage"


class ApiToken(models.Model):
    """A token; withdrawn, its row is gone.

    Attributes:
        name: The member's own word for the program.
        token_hash: SHA-256 of the token. The token itself has 256 random bits, which nobody
            guesses from a fast hash; it is kept nowhere.
        scopes: Values of `Scope`, at least one.
        last_used_at: When it last let somebody in, to within an hour.
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="api_tokens"
    )
    name = models.CharField(max_length=limits.LABEL)
    token_hash = models.CharField(max_length=limits.SHA256, unique=True)
    scopes = models.JSONField()
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    last_used_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("member", "name"), name="token_once_for_name"),
            models.CheckConstraint(
                name="token_works_for_a_while",
                condition=models.Q(expires_at__gt=models.F("made_at")),
            ),
        )

    def __str__(self) -> str:
        return f"token {self.pk}"


class Invitation(models.Model):
    """A code that lets people join a club. The code itself is not kept.

    Attributes:
        code_hash: What the code is found by: `logs.people.selectors.hash_code` of it.
        seed: What the code is worked out from with the site's secret key, so that coaches may see
            it while it works and a stolen database does not tell it; empty for an older one.
        withdrawn_at: Null while it was not taken back.
    """

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="invitations")
    role = models.CharField(max_length=10, choices=Role.choices)
    code_hash = models.CharField(max_length=limits.SHA256, unique=True)
    seed = models.CharField(max_length=32, blank=True)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    max_uses = models.PositiveSmallIntegerField()
    n_uses = models.PositiveSmallIntegerField(default=0)
    withdrawn_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(name="invitation_role_known", condition=Q(role__in=Role.values)),
            models.CheckConstraint(
                name="invitation_used_within_limit",
                condition=Q(max_uses__gte=1, n_uses__lte=F("max_uses")),
            ),
            models.CheckConstraint(
                name="invitation_expires_after_made", condition=Q(expires_at__gt=F("created_at"))
            ),
        )
        indexes = (models.Index(fields=("club", "-created_at"), name="invitation_newest"),)

    def __str__(self) -> str:
        return f"invitation {self.pk}"


class PasswordCode(models.Model):
    """A code with which a person who forgot their password chooses a new one, once.

    Attributes:
        user: Whose password; one code at a time.
        code_hash: `logs.people.selectors.hash_code` of the code, which is kept nowhere.
        created_by: The owner of a club who made it.
        expires_at: When it stops to work.
    """

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="password_code"
    )
    code_hash = models.CharField(max_length=limits.SHA256)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+"
    )
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="password_code_expires_after_made",
                condition=Q(expires_at__gt=F("created_at")),
            ),
        )

    def __str__(self) -> str:
        return f"password code {self.pk}"


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
    CONTACT = "contact", "changed who answers for the club"
    PASSWORD_CODE = "password_code", "made a code for a forgotten password"
    PASSWORD_RESET = "password_reset", "chose a new password with a code or a mailed link"
    PASSWORD_CHANGE = "password_change", "changed the password"
    MAIL_ADDRESS = "mail_address", "changed the e-mail address"
    UPLOAD_TAKE_BACK = "upload_take_back", "took an upload back"
    UPLOAD_PUT_BACK = "upload_put_back", "put an upload back"
    SOLVE_DELETE = "solve_delete", "deleted a solve"
    SOLVE_PUT_BACK = "solve_put_back", "put a deleted solve back"
    SOLVE_CORRECT = "solve_correct", "corrected a solve"
    SOLVE_DECIDE = "solve_decide", "decided between two rows of a log"
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
