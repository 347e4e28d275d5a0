"""Tokens: what a member's own programs sign in with."""

from django.conf import settings
from django.db import models


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
    name = models.CharField(max_length=60)
    token_hash = models.CharField(max_length=64, unique=True)
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
