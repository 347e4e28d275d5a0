"""Clubs, and who is in them."""

from zoneinfo import available_timezones

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models


def validate_time_zone(name: str) -> None:
    """Refuse what is no IANA time zone.

    Raises:
        ValidationError: ``name`` is not one.
    """
    if name not in available_timezones():
        raise ValidationError(f"{name!r} is no IANA time zone, such as Europe/Oslo.")


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

    ``practice_cap`` is how many drills, and as many answers of the practice page, its coaches want
    a member to do in a day.
    """

    name = models.CharField(max_length=100)
    slug = models.SlugField(max_length=50, unique=True)
    time_zone = models.CharField(max_length=50, default="UTC", validators=[validate_time_zone])
    practice_cap = models.PositiveSmallIntegerField(default=PRACTICE_CAP)

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
    display_name = models.CharField(max_length=60)
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
