"""Files that wait for a mapping, and the mappings kept for the actor or for their clubs."""

from datetime import datetime, timedelta

from django.db.models import Q, QuerySet

from clubsite.accounts.models import User
from logs.errors import NotFoundError
from logs.people.sight import coached_clubs
from logs.solves.models.solves import KeptMapping, Upload, UploadDraft

DRAFT_LIFE = timedelta(days=7)
"""How long a file waits for its member to say how it is to be read."""


def _drafts(actor: User, now: datetime) -> QuerySet[UploadDraft]:
    if not actor.is_active:
        return UploadDraft.objects.none()
    return UploadDraft.objects.filter(member=actor, made_at__gt=now - DRAFT_LIFE)


def draft_list(*, actor: User, now: datetime) -> list[UploadDraft]:
    """The actor's files that wait, the oldest first, without their bytes."""
    return list(_drafts(actor, now).defer("content").order_by("made_at", "id"))


def draft_get(*, actor: User, draft_id: int, now: datetime) -> UploadDraft:
    """One of the actor's files that wait.

    Raises:
        NotFoundError: There is none, it is somebody else's, or it has waited too long.
    """
    draft = _drafts(actor, now).filter(pk=draft_id).first()
    if draft is None:
        raise NotFoundError("file")
    return draft


def upload_of_digest(*, actor: User, digest: str) -> Upload | None:
    """The actor's upload of these very bytes; None when they have not sent them before."""
    return Upload.objects.filter(member=actor, sha256=digest).defer("content").first()


def _usable(actor: User) -> QuerySet[KeptMapping]:
    if not actor.is_active:
        return KeptMapping.objects.none()
    own = Q(member=actor) | Q(club__memberships__user=actor)
    return KeptMapping.objects.filter(own).select_related("club")


def kept_mapping_list(*, actor: User) -> list[KeptMapping]:
    """The mappings that the actor may use: their own, then each club's, by name."""
    found = _usable(actor).order_by("name", "id")
    return sorted(found, key=lambda kept: "" if kept.club is None else kept.club.name)


def kept_mapping_for(*, actor: User, header_key: str) -> KeptMapping | None:
    """The mapping for files of one shape; of several the one changed last."""
    return _usable(actor).filter(header_key=header_key).order_by("-changed_at", "-id").first()


def kept_mapping_get(*, actor: User, mapping_id: int) -> KeptMapping:
    """A mapping that the actor may change: one they made, or one of a club that they coach.

    Raises:
        NotFoundError: There is none, or it is not theirs to change.
    """
    kept = _usable(actor).filter(pk=mapping_id).first()
    if kept is None or not may_change(actor=actor, kept=kept):
        raise NotFoundError("mapping")
    return kept


def usable_mapping_get(*, actor: User, mapping_id: int) -> KeptMapping:
    """A mapping that the actor may use.

    Raises:
        NotFoundError: There is none, or it is not theirs to use.
    """
    kept = _usable(actor).filter(pk=mapping_id).first()
    if kept is None:
        raise NotFoundError("mapping")
    return kept


def may_change(*, actor: User, kept: KeptMapping) -> bool:
    """Whether the actor may change a mapping that they may use: its maker, or a coach."""
    if kept.member_id == actor.pk or kept.made_by_id == actor.pk:
        return True
    return any(club.pk == kept.club_id for club in coached_clubs(actor=actor))
