"""The audit trail, written in the transaction of the change it tells of."""

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from clubsite.accounts.models import User
from logs.http.pages import actor_of, origin_of
from logs.people.models import AuditEvent, Club, Membership, Verb


def event_write(
    verb: Verb,
    *,
    actor: User | None,
    now: datetime,
    member: User | None = None,
    club: Club | None = None,
    detail: dict[str, Any] | None = None,
    origin: str = "",
) -> AuditEvent:
    """Add an event to the trail.

    Args:
        verb: What was done.
        actor: Who did it; None when nobody signed in did.
        now: When.
        member: Whom it was about.
        club: In which club.
        detail: Settings before and after; never a name, a note or a code.
        origin: The actor's network, as `logs.http.pages.origin_of` gives it.
    """
    return AuditEvent.objects.create(
        verb=verb,
        actor=actor,
        member=member,
        club=club,
        at=now,
        on=now.astimezone(UTC).date(),
        detail=detail or {},
        origin=origin,
    )


def look_note(
    *, actor: User, membership_ids: Iterable[int], page: str, now: datetime, origin: str = ""
) -> int:
    """Note that ``actor`` looked at members' pages; how many looks were new.

    A look counts once for viewer, member, kind of page and day (UTC). A look at oneself is none.
    Looks are one statement, made only where one is new: a page that was seen today writes nothing,
    and takes no lock.

    Args:
        actor: Who looked.
        membership_ids: Whose pages it showed, by memberships the actor was let see.
        page: The kind of page, a word of at most 20 letters.
        now: When.
        origin: The actor's network, as `logs.http.pages.origin_of` gives it.
    """
    on = now.astimezone(UTC).date()
    seen = AuditEvent.objects.filter(verb=Verb.LOOK, actor=actor, page=page, on=on)
    looked_at = (
        Membership.objects.filter(pk__in=list(membership_ids))
        .exclude(user=actor)
        .exclude(user__in=seen.values("member"))
        .values_list("user_id", "club_id")
    )
    looks = [
        AuditEvent(
            verb=Verb.LOOK,
            actor=actor,
            member_id=user_id,
            club_id=club_id,
            at=now,
            on=on,
            page=page,
            origin=origin,
        )
        for user_id, club_id in dict(looked_at).items()
    ]
    if looks:
        AuditEvent.objects.bulk_create(looks, ignore_conflicts=True)
    return len(looks)


def looked(request: HttpRequest, page: str, membership_ids: Iterable[int | None]) -> None:
    """Note that the actor sees these members' logs, or figures made from them, on a page.

    Args:
        request: The request that is answered.
        page: The kind of page: a key of `logs.privacy.report.privacy.PAGE_WORDS`.
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
