"""The audit trail, written in the transaction of the change it tells of."""

from collections.abc import Iterable
from datetime import UTC, datetime
from ipaddress import IPv6Address, ip_address, ip_network
from typing import TYPE_CHECKING, Any

from logs.models import AuditEvent, Club, Membership, Verb

if TYPE_CHECKING:
    from clubsite.accounts.models import User


def event_write(
    verb: Verb,
    *,
    actor: "User | None",
    now: datetime,
    member: "User | None" = None,
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
        origin: The actor's network, as `truncate_origin` gives it.
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
    *, actor: "User", membership_ids: Iterable[int], page: str, now: datetime, origin: str = ""
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
        origin: The actor's network, as `truncate_origin` gives it.
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


def truncate_origin(address: str) -> str:
    """The network of ``address``, enough to tell home from elsewhere; empty for no address.

    IPv4 keeps 24 bits and IPv6 48: what a provider gives to many customers, or to one site
    (RFC 6177, section 2, names 48 as the longest-standing size for a site).
    """
    try:
        parsed = ip_address(address)
    except ValueError:
        return ""
    if isinstance(parsed, IPv6Address) and parsed.ipv4_mapped is not None:
        parsed = parsed.ipv4_mapped
    bits = 24 if parsed.version == 4 else 48
    return str(ip_network((parsed, bits), strict=False))
