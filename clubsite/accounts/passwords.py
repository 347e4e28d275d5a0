"""The rule on how long a password is; which ones are too common is the framework's own list."""

from django.core.exceptions import ValidationError
from django.dispatch import Signal

password_changed = Signal()
"""Somebody changed their password, knowing the old one. Sent within the transaction, with ``user``,
``now``, ``address`` and ``keeps_programs``: whether what programs act with is to go on working."""


class LengthValidator:
    """Refuses passwords below a floor and advises a longer one.

    Length is all that is asked: no rule on digits or signs (NIST SP 800-63B, 5.1.1.2, and
    OWASP ASVS 5.0, 6.2, both advise against such rules).
    """

    def __init__(self, *, floor: int, advised: int) -> None:
        self.floor = floor
        self.advised = advised

    def validate(self, password: str, user: object = None) -> None:
        """Raise ``ValidationError`` for a password shorter than the floor."""
        if len(password) < self.floor:
            raise ValidationError(
                f"This password has {len(password)} characters; {self.floor} are the least.",
                code="password_too_short",
            )

    def get_help_text(self) -> str:
        """The rule in words, for the form."""
        return (
            f"At least {self.floor} characters; {self.advised} or more are better. "
            "Four or five words that have nothing to do with each other are easy to remember."
        )
