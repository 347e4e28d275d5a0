"""How often something was tried lately."""

from django.db import models


class Throttle(models.Model):
    """The tries of one account, or from one address, at one thing.

    Attributes:
        scope: What was tried, such as ``invitation``.
        key: Whose tries: a keyed hash of the account's number or of the address.
        tries: When, in whole seconds since 1970, oldest first.
    """

    scope = models.CharField(max_length=20)
    key = models.CharField(max_length=64)
    tries = models.JSONField(default=list)
    last_at = models.DateTimeField(db_index=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("scope", "key"), name="throttle_once_for_key"),
        )

    def __str__(self) -> str:
        return f"{self.scope}: {len(self.tries)}"
