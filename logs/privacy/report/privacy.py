"""What a person may know and decide about their own data."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from logs.people.models import AuditEvent
from logs.people.report.clubs import ROLE_WORDS, VISIBILITIES
from logs.people.report.whose import time_zone_of
from logs.people.selectors import changes_about, looks_at, names_of_actors, own_memberships
from logs.solves.selectors.solves import upload_list
from logs.words import moment

GONE = "somebody who is not in the club any more"


YOU = "you"


PAGE_WORDS = {
    "progress": "your Progress page",
    "solves": "your list of solves",
    "solve": "one of your solves",
    "club": "the club page, with your line in it",
    "club_case": "the club's weeks of a case, with your line in them",
    "compare": "a comparison with you in it",
    "mistaken": "what you take for what",
    "next_up": "your list of what is next",
    "homework": "how far you are with homework",
    "lesson": "a lesson plan made with your cases",
    "research": "a research export with your sightings in it, without your name",
}
"""Kinds of pages that a look is noted for."""


@dataclass(frozen=True, slots=True)
class OwnMembership:
    """The reader in one club."""

    slug: str
    club: str
    role: str
    display_name: str
    visibility: str
    is_in_research: bool


@dataclass(frozen=True, slots=True)
class EventLine:
    """An event as the person it is about reads it."""

    at: str
    who: str
    what: str
    club: str


@dataclass(frozen=True, slots=True)
class PrivacyReport:
    """All that the reader's privacy page shows; looks and changes are the newest first."""

    username: str
    memberships: tuple[OwnMembership, ...]
    looks: tuple[EventLine, ...]
    changes: tuple[EventLine, ...]
    uploads: tuple[tuple[int, str, str], ...]
    owned: tuple[OwnMembership, ...]


def privacy_report(*, actor: User) -> PrivacyReport:
    """What ``actor`` shows, who looked, what was changed, and what they sent."""
    zone = time_zone_of(actor=actor)
    memberships = tuple(
        OwnMembership(
            slug=own.club.slug,
            club=own.club.name,
            role=ROLE_WORDS[own.role],
            display_name=own.display_name,
            visibility=own.visibility,
            is_in_research=own.is_in_research,
        )
        for own in own_memberships(actor=actor)
    )
    looks, changes = looks_at(actor=actor), changes_about(actor=actor)
    names = names_of_actors(actor=actor, events=[*looks, *changes])
    return PrivacyReport(
        username=actor.get_username(),
        memberships=memberships,
        looks=_lines(actor, looks, names, zone),
        changes=_lines(actor, changes, names, zone),
        uploads=tuple(
            (upload.pk, upload.file_name, moment(upload.received_at, zone))
            for upload in upload_list(actor=actor)
        ),
        owned=tuple(own for own in memberships if own.role == ROLE_WORDS["owner"]),
    )


def who_made(actor: User, event: AuditEvent, names: dict[tuple[int, int], str]) -> str:
    """Who made an event about ``actor``, in words that ``actor`` may read."""
    if event.actor_id == actor.pk:
        return YOU
    return names.get((event.club_id or 0, event.actor_id or 0), GONE)


def what_happened(event: AuditEvent) -> str:
    """An event about the reader, in words."""
    if event.page:
        return f"looked at {PAGE_WORDS.get(event.page, event.page)}"
    detail: dict[str, Any] = event.detail
    names = {value: name.lower() for value, name, _ in VISIBILITIES}
    before, after = str(detail.get("before", "")), str(detail.get("after", ""))
    words = {
        "visibility": f"changed who sees your log: from “{names.get(before, before)}” to"
        f" “{names.get(after, after)}”",
        "role": f"changed your role: from {before} to {after}",
        "research": "agreed to be in research exports"
        if detail.get("after")
        else "took back the word on research exports",
        "hand_over": "made you the owner of the club",
        "remove": "took you out of the club",
        "join": f"joined as {ROLE_WORDS.get(str(detail.get('role')), 'member')}",
        "leave": "left the club",
        "rename": "changed the name the club knows you by",
        "token_make": "made a token for your programs",
        "token_withdraw": "withdrew a token for your programs",
        "export": "took a copy of your data",
        "club_close": "closed the club",
    }
    return words.get(event.verb, event.verb)


def _lines(
    actor: User,
    events: Iterable[AuditEvent],
    names: dict[tuple[int, int], str],
    zone: ZoneInfo,
) -> tuple[EventLine, ...]:
    return tuple(
        EventLine(
            at=moment(event.at, zone),
            who=who_made(actor, event, names),
            what=what_happened(event),
            club="" if event.club is None else event.club.name,
        )
        for event in events
    )
