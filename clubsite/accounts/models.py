"""The site's user, and the sessions in which somebody is signed in."""

from typing import ClassVar

from django.contrib.auth.models import AbstractUser
from django.contrib.auth.models import UserManager as FrameworkUserManager
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models
from django.db.models.functions import Lower

from clubsite.accounts.store import SessionStore


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


class Session(AbstractBaseSession):
    """A session as the framework keeps it, with what its own member is shown of it.

    Attributes:
        session_key: SHA-256 of the key in the cookie: who reads the table signs in nowhere with it.
        user: Who is signed in; null for somebody who is not.
        signed_in_at: When they signed in.
        used_at: When it was last used, to within a day.
        browser: The kind of browser and of system in two words, without a version; no address.
    """

    session_key = models.CharField(max_length=64, primary_key=True)
    user = models.ForeignKey(User, on_delete=models.CASCADE, null=True, related_name="sessions")
    signed_in_at = models.DateTimeField(null=True)
    used_at = models.DateTimeField(null=True)
    browser = models.CharField(max_length=40, blank=True)

    class Meta(AbstractBaseSession.Meta):
        abstract = False

    @classmethod
    def get_session_store_class(cls) -> type[SessionStore]:
        """What reads and writes these rows."""
        return SessionStore
