"""The site's user."""

from typing import ClassVar

from django.contrib.auth.models import AbstractUser
from django.contrib.auth.models import UserManager as FrameworkUserManager
from django.db import models
from django.db.models.functions import Lower


class UserManager(FrameworkUserManager["User"]):
    """Users, found by name without regard to capitals."""

    def get_by_natural_key(self, username: str | None) -> "User":
        """The user who signs in as ``username``.

        Raises:
            User.DoesNotExist: There is none.
        """
        return self.get(username__iexact=username)


class User(AbstractUser):
    """A person who signs in. A user name is all that is asked for; an e-mail address may be kept.

    Names that differ in capitals alone are the same name.
    """

    REQUIRED_FIELDS: ClassVar[list[str]] = []

    objects: ClassVar[UserManager] = UserManager()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                Lower("username"),
                name="user_username_caseless",
                violation_error_message="A user with that name already exists.",
            ),
        )

    def __str__(self) -> str:
        return self.username
