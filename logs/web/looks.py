"""Who looked at whose page, noted as the page is answered."""

from collections.abc import Iterable

from django.http import HttpRequest
from django.utils import timezone

from logs.services.audit import look_note
from logs.web.pages import actor_of
from logs.web.refusals import origin_of


def looked(request: HttpRequest, page: str, membership_ids: Iterable[int | None]) -> None:
    """Note that the actor sees these members' logs, or figures made from them, on a page.

    Args:
        request: The request that is answered.
        page: The kind of page: a key of `logs.reports.privacy.PAGE_WORDS`.
        membership_ids: Whose; the actor's own, and None, are no looks.
    """
    ids = [membership_id for membership_id in membership_ids if membership_id is not None]
    if ids and request.method != "HEAD":
        look_note(
            actor=actor_of(request),
            membership_ids=ids,
            page=page,
            now=timezone.now(),
            origin=origin_of(request),
        )
