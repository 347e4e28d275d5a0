"""What a person may know and decide about their own data."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from logs.people.models import AuditEvent, Role, Verb, Visibility
from logs.people.selectors import (
    HIDDEN_NAME,
    changes_about,
    looks_at,
    names_of_actors,
    own_memberships,
)
from logs.people.sight import ClubName, time_zone_of
from logs.solves.selectors.solves import upload_list


@dataclass(frozen=True, slots=True)
class OwnMembership:
    """The reader in one club.

    Attributes:
        club: The club.
        role: What the reader is in it.
        display_name: What the club calls the reader.
        visibility: Who but the reader sees the reader's log there.
        is_in_research: Whether the reader's sightings may go into the club's research exports.
    """

    club: ClubName
    role: Role
    display_name: str
    visibility: Visibility
    is_in_research: bool


@dataclass(frozen=True, slots=True)
class EventLine:
    """An event as the person it is about reads it.

    Attributes:
        at: When.
        verb: What was done.
        by: What the club calls who did it; null for somebody who is in it no more, or is hidden.
        is_hidden: Whether it was a member of the club who shows their log to no member, whom only
            coaches are told the name of.
        is_own: Whether the reader did it.
        page: Of a look, the kind of page; else null.
        before: The setting before, where one was changed; else null.
        after: The setting after; of joining, the role.
        club: Name of the club it happened in; null where in none.
    """

    at: datetime
    verb: Verb
    by: str | None
    is_hidden: bool
    is_own: bool
    page: str | None
    before: str | None
    after: str | None
    club: str | None


@dataclass(frozen=True, slots=True)
class OwnFile:
    """An upload as it was sent.

    Attributes:
        id: Names it in addresses.
        name: The file's.
        received_at: When it was sent.
    """

    id: int
    name: str
    received_at: datetime


@dataclass(frozen=True, slots=True)
class PrivacyReport:
    """What the reader shows, who looked, what was changed, and what they sent.

    Attributes:
        username: What the reader signs in with.
        zone: The reader's time zone, an IANA name.
        memberships: The reader in each club, by its name.
        looks: Who looked at the reader's pages, the newest first.
        changes: What was changed about the reader, the newest first.
        uploads: The files sent.
        owned: The clubs among them that the reader owns.
    """

    username: str
    zone: ZoneInfo
    memberships: tuple[OwnMembership, ...]
    looks: tuple[EventLine, ...]
    changes: tuple[EventLine, ...]
    uploads: tuple[OwnFile, ...]
    owned: tuple[OwnMembership, ...]


def privacy_report(*, actor: User) -> PrivacyReport:
    """What ``actor`` shows, who looked, what was changed, and what they sent."""
    memberships = tuple(
        OwnMembership(
            club=ClubName(own.club.name, own.club.slug),
            role=Role(own.role),
            display_name=own.display_name,
            visibility=Visibility(own.visibility),
            is_in_research=own.is_in_research,
        )
        for own in own_memberships(actor=actor)
    )
    looks, changes = looks_at(actor=actor), changes_about(actor=actor)
    lines = event_lines(actor=actor, events=[*looks, *changes])
    return PrivacyReport(
        username=actor.get_username(),
        zone=time_zone_of(actor=actor),
        memberships=memberships,
        looks=lines[: len(looks)],
        changes=lines[len(looks) :],
        uploads=tuple(
            OwnFile(upload.pk, upload.file_name, upload.received_at)
            for upload in upload_list(actor=actor)
        ),
        owned=tuple(own for own in memberships if own.role is Role.OWNER),
    )


def event_lines(*, actor: User, events: Iterable[AuditEvent]) -> tuple[EventLine, ...]:
    """Events about ``actor`` as ``actor`` may read them, in their order."""
    listed = list(events)
    names = names_of_actors(actor=actor, events=listed)
    return tuple(_event_line(actor, event, names) for event in listed)


def _event_line(actor: User, event: AuditEvent, names: Mapping[tuple[int, int], str]) -> EventLine:
    is_own = event.actor_id == actor.pk
    name = None if is_own else names.get((event.club_id or 0, event.actor_id or 0))
    return EventLine(
        at=event.at,
        verb=Verb(event.verb),
        by=name or None,
        is_hidden=name == HIDDEN_NAME,
        is_own=is_own,
        page=event.page or None,
        before=_setting(event, "before"),
        after=_setting(event, "role" if event.verb == Verb.JOIN else "after"),
        club=None if event.club is None else event.club.name,
    )


def _setting(event: AuditEvent, name: str) -> str | None:
    value = event.detail.get(name)
    if isinstance(value, bool):  # a word on research
        return "yes" if value else "no"
    return None if value is None else str(value)
