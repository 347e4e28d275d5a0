"""Figures worked out from a whole log, kept for the next reader."""

from collections.abc import Mapping
from typing import Any

from django.db import IntegrityError, transaction

from logs.models import KeptFigures


def figures_keep(*, member_id: int, name: str, key: str, content: Mapping[str, Any]) -> None:
    """Keep the member's figures of that name, in place of what was kept before.

    Not a change of anybody's data: whoever may read the log may cause it. A member who is erased
    meanwhile leaves nothing behind.

    Args:
        member_id: Whose log they are worked out from.
        name: Which figures.
        key: All that they stand on, read before the log was.
        content: Plain values, fit for JSON.
    """
    kept = KeptFigures(member_id=member_id, name=name, key=key, content=content)
    try:
        with transaction.atomic():
            KeptFigures.objects.bulk_create(
                [kept],
                update_conflicts=True,
                unique_fields=["member", "name"],
                update_fields=["key", "content"],
            )
    except IntegrityError:
        return  # the account went between reading and keeping
