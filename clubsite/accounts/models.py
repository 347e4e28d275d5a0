"""The site's user, the sessions in which somebody is signed in, and how often something was tried."""

from typing import Any, ClassVar

from django.contrib.auth.models import AbstractUser
from django.contrib.auth.models import UserManager as FrameworkUserManager
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models

from clubsite.accounts.names import caseless_name
from clubsite.accounts.store import SessionStore


class UserManager(FrameworkUserManager["User"]):
    """Users, found by name however it is written."""

    def get_by_natural_key(self, username: str | None) -> "User":
        """The user who signs in as ``username``.

        Raises:
            User.DoesNotExist: There is none.
        """
        return self.get(name_key=caseless_name(username or ""))


class User(AbstractUser):
    """A person who signs in. A user name is all that is asked for; an e-mail address may be kept.

    Attributes:
        name_key: `caseless_name` of the user name, set as it is saved: names that differ in capitals
            or in how they are encoded are the same name.
    """

    REQUIRED_FIELDS: ClassVar[list[str]] = []

    # A name of 150 characters is stored composed, and folding makes at most three of one.
    name_key = models.CharField(
        max_length=450,
        unique=True,
        blank=True,
        editable=False,
        error_messages={"unique": "A user with that username already exists."},
    )

    objects: ClassVar[UserManager] = UserManager()

    def clean(self) -> None:
        """Set what the name is found by, so that one that is taken is said at once."""
        super().clean()
        self.name_key = caseless_name(self.username)

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save the user, and with the name what it is found by."""
        self.name_key = caseless_name(self.username)
        fields = kwargs.get("update_fields")
        if fields is not None and "username" in fields:
            kwargs["update_fields"] = {*fields, "name_key"}
        super().save(*args, **kwargs)

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


class Throttle(models.Model):
    """The tries of one account, of one device, or from one address, at one thing.

    Attributes:
        scope: What was tried, such as ``invitation``.
        key: Whose tries: a keyed hash of the account, the device or the address.
        tries: When, in whole seconds since 1970, oldest first.
    """

    scope = models.CharField(max_length=20)
    key = models.CharField(max_length=64)
    tries = models.JSONField(default=list)
    last_at = models.DateTimeField(db_index=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("scope", "key"), name="tries_once_for_key"),)

    def __str__(self) -> str:
        return f"{self.scope}: {len(self.tries)}"
