"""The people of a club, for its coaches; and the actor's own memberships and events."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from django.db.models import Case, IntegerField, Value, When

from logs.models import AuditEvent, Membership, Role, Verb
from logs.selectors.coaching import coached_club_get

if TYPE_CHECKING:
    from clubsite.accounts.models import User

NEWEST = 200
"""Events that a page shows."""


def club_people(*, actor: "User", slug: str) -> list[Membership]:
    """Everybody in a club, whatever they show of their logs: owner, coaches, members; by name.

    Raises:
        NotFoundError: There is no such club, or ``actor`` does not coach it.
    """
    club = coached_club_get(actor=actor, slug=slug)
    rank = Case(
        When(role=Role.OWNER, then=Value(0)),
        When(role=Role.COACH, then=Value(1)),
        default=Value(2),
        output_field=IntegerField(),
    )
    people = Membership.objects.filter(club=club).select_related("club")
    return list(people.order_by(rank, "display_name", "id"))


def own_memberships(*, actor: "User") -> list[Membership]:
    """The actor's memberships with their clubs, by the club's name."""
    own = Membership.objects.filter(user=actor).select_related("club")
    return list(own.order_by("club__name", "club_id"))


def looks_at(*, actor: "User", limit: int | None = NEWEST) -> list[AuditEvent]:
    """Who looked at the actor's pages, with the club; the newest first."""
    looks = AuditEvent.objects.filter(member=actor, verb=Verb.LOOK).select_related("club")
    return list(looks.order_by("-at", "-id")[:limit])


def changes_about(*, actor: "User", limit: int | None = NEWEST) -> list[AuditEvent]:
    """What was changed about the actor, by whomever; the newest first."""
    about = AuditEvent.objects.filter(member=actor).exclude(verb=Verb.LOOK)
    return list(about.select_related("club").order_by("-at", "-id")[:limit])


def events_made(*, actor: "User") -> list[AuditEvent]:
    """All that the actor did to things other than their own account; the oldest first."""
    made = AuditEvent.objects.filter(actor=actor).exclude(member=actor).select_related("club")
    return list(made.order_by("at", "id"))


def names_of_actors(*, actor: "User", events: Iterable[AuditEvent]) -> dict[tuple[int, int], str]:
    """What the clubs call those who made ``events``: by club and account, where they are in it.

    Only of clubs that ``actor`` is in, and of events about them.
    """
    about_me = [event for event in events if event.member_id == actor.pk and event.actor_id]
    if not about_me:
        return {}
    named = Membership.objects.filter(
        user__in={event.actor_id for event in about_me},
        club__in=Membership.objects.filter(user=actor).values("club"),
    )
    return {
        (club_id, user_id): name
        for club_id, user_id, name in named.values_list("club_id", "user_id", "display_name")
    }
