"""The people of a club, for its coaches; and the actor's own memberships and events."""

import hashlib
from collections.abc import Iterable
from datetime import datetime

from django.db.models import Case, F, IntegerField, OuterRef, QuerySet, Subquery, Value, When
from django.utils.crypto import salted_hmac

from clubsite.accounts.models import User
from logs.errors import NotFoundError
from logs.people.models import (
    COACHING_ROLES,
    ApiToken,
    AuditEvent,
    Club,
    Invitation,
    Membership,
    Role,
    Verb,
    Visibility,
)
from logs.people.sight import coached_club_get

NEWEST = 200
"""Events that a page shows."""


def club_people(*, actor: User, slug: str) -> list[Membership]:
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


def own_memberships(*, actor: User) -> list[Membership]:
    """The actor's memberships with their clubs, by the club's name."""
    own = Membership.objects.filter(user=actor).select_related("club")
    return list(own.order_by("club__name", "club_id"))


def looks_at(*, actor: User, limit: int | None = NEWEST) -> list[AuditEvent]:
    """Who looked at the actor's pages, with the club; the newest first."""
    looks = AuditEvent.objects.filter(member=actor, verb=Verb.LOOK).select_related("club")
    return list(looks.order_by("-at", "-id")[:limit])


def changes_about(*, actor: User, limit: int | None = NEWEST) -> list[AuditEvent]:
    """What was changed about the actor, by whomever; the newest first."""
    about = AuditEvent.objects.filter(member=actor).exclude(verb=Verb.LOOK)
    return list(about.select_related("club").order_by("-at", "-id")[:limit])


def events_made(*, actor: User) -> list[AuditEvent]:
    """All that the actor did to things other than their own account; the oldest first."""
    made = AuditEvent.objects.filter(actor=actor).exclude(member=actor).select_related("club")
    return list(made.order_by("at", "id"))


HIDDEN_NAME = ""
"""In the place of the name of a member who hides; nobody's name is empty."""


def names_of_actors(*, actor: User, events: Iterable[AuditEvent]) -> dict[tuple[int, int], str]:
    """What the clubs call those who made ``events``: by club and account, where they are in it.

    Only of clubs that ``actor`` is in, and of events about them. A member who does not show their log
    to the club, and so is on no list there, is `HIDDEN_NAME` to all but its coaches.
    """
    about_me = [event for event in events if event.member_id == actor.pk and event.actor_id]
    if not about_me:
        return {}
    own = Membership.objects.filter(user=actor)
    named = Membership.objects.filter(
        user__in={event.actor_id for event in about_me}, club__in=own.values("club")
    ).annotate(reads_as=Subquery(own.filter(club=OuterRef("club")).values("role")[:1]))
    return {
        (one.club_id, one.user_id): one.display_name
        if one.is_coach or one.visibility == Visibility.CLUB or one.reads_as in COACHING_ROLES
        else HIDDEN_NAME
        for one in named
    }


def hash_code(code: str) -> str:
    """What an invitation is found by; spaces, hyphens and small letters make no difference."""
    bare = "".join(char for char in code.upper() if char.isalnum())
    return salted_hmac("logs.invitation", bare, algorithm="sha256").hexdigest()


def invitation_list(*, actor: User, slug: str) -> list[Invitation]:
    """The club's invitations, newest first.

    Raises:
        NotFoundError: There is no such club, or ``actor`` does not coach it.
    """
    club = coached_club_get(actor=actor, slug=slug)
    return list(Invitation.objects.filter(club=club).order_by("-created_at", "-id"))


LETTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
"""No 0 O, 1 I L, U V pairs: a code is read off a board and typed."""

N_LETTERS = 12


def code_of_seed(seed: str) -> str:
    """The code that ``seed`` stands for on this site, in groups of four: 30 letters to the 12th.

    A keyed hash (HMAC, RFC 2104, with SHA-256) of the seed: who has the database alone cannot tell it.
    """
    number = int(salted_hmac("logs.invitation.code", seed, algorithm="sha256").hexdigest(), 16)
    letters = ""
    for _ in range(N_LETTERS):
        number, place = divmod(number, len(LETTERS))
        letters += LETTERS[place]
    return "-".join(letters[i : i + 4] for i in range(0, N_LETTERS, 4))


def invitation_code(invitation: Invitation) -> str:
    """The code of an invitation; empty where the secret key has changed, or it is an older one."""
    code = code_of_seed(invitation.seed) if invitation.seed else ""
    return code if code and hash_code(code) == invitation.code_hash else ""


def contacts() -> list[Club]:
    """The clubs that say who answers for them, by name. Anybody may read it."""
    return list(Club.objects.exclude(contact_name="").order_by("name", "id"))


def contacts_written(*, actor: User) -> list[Club]:
    """The clubs whose contact the actor wrote."""
    return list(Club.objects.filter(contact_by=actor).exclude(contact_name="").order_by("pk"))


def invitation_open(*, code: str, now: datetime) -> Invitation:
    """The invitation that ``code`` opens now, with its club. Whoever has the code may ask.

    Raises:
        NotFoundError: None does: mistyped, withdrawn, out of date and used up look alike.
    """
    working = Invitation.objects.filter(
        code_hash=hash_code(code), withdrawn_at=None, expires_at__gt=now, n_uses__lt=F("max_uses")
    )
    invitation = working.select_related("club").first()
    if invitation is None:
        raise NotFoundError("invitation")
    return invitation


def hash_token(text: str) -> str:
    """What is kept of a token: the SHA-256 of its text, in hexadecimal."""
    return hashlib.sha256(text.encode()).hexdigest()


def token_list(*, actor: User) -> QuerySet[ApiToken]:
    """The actor's tokens, the newest first."""
    return ApiToken.objects.filter(member=actor).order_by("-made_at", "-pk")


def token_get(*, actor: User, token_id: int) -> ApiToken:
    """One of the actor's tokens.

    Raises:
        NotFoundError: There is no such token, or it is somebody else's.
    """
    token = token_list(actor=actor).filter(pk=token_id).first()
    if token is None:
        raise NotFoundError("token")
    return token


def token_shown(text: str, *, now: datetime) -> ApiToken | None:
    """The token with this text, if it and its member's account work at ``now``."""
    return (
        ApiToken.objects.select_related("member")
        .filter(token_hash=hash_token(text), expires_at__gt=now, member__is_active=True)
        .first()
    )
