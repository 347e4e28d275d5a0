"""A member's own words on cases."""

from django.db.models import QuerySet

from clubsite.accounts.models import User
from logs.case_map.models import KnownByWord


def known_by_word_list(*, actor: User) -> QuerySet[KnownByWord]:
    """The cases of which the actor says that they go in one look, the first said first."""
    return KnownByWord.objects.filter(member=actor).order_by("said_at", "id")
