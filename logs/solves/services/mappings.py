"""Mappings kept under a name, for a club or for one member."""

from datetime import datetime

from django.db import transaction

from clubsite.accounts.models import User
from logs.errors import ConflictError
from logs.intake.mapping import (
    ColumnMapping,
    faults,
    header_key,
    mapping_from_json,
    mapping_to_json,
)
from logs.people.locks import lock_club, lock_log
from logs.people.sight import club_get
from logs.solves.models.solves import KeptMapping, Upload
from logs.solves.selectors.solves import kept_mapping_get, may_change

MAX_KEPT = 50
"""Mappings kept for one club, and for one member."""


@transaction.atomic
def mapping_keep(
    *, actor: User, mapping: ColumnMapping, name: str, slug: str, now: datetime
) -> KeptMapping:
    """Keep ``mapping`` under ``name``; what the name stood for before is replaced.

    Args:
        actor: Whose word it is.
        mapping: A mapping that leaves nothing open.
        name: What it is called.
        slug: The club that may use it; empty for the actor alone.
        now: When.

    Raises:
        NotFoundError: The actor is not in the club.
        ConflictError: The name stands for somebody else's, or as many are kept as can be.
        ValidationError: The name is empty or too long.
    """
    assert not faults(mapping)
    club = club_get(actor=actor, slug=slug) if slug else None
    _lock_names(None if club is None else club.pk, actor.pk)
    whose = KeptMapping.objects.filter(club=club, member=None if club else actor)
    kept = whose.filter(name=_plain(name)).first()
    if kept is None:
        if whose.count() >= MAX_KEPT:
            raise ConflictError(f"At most {MAX_KEPT} mappings are kept: forget one first.")
        kept = KeptMapping(club=club, member=None if club else actor, made_by=actor)
    elif not may_change(actor=actor, kept=kept):
        raise ConflictError(
            f"“{kept.name}” was kept by somebody else in {club}: choose another name."
        )
    kept.name = _plain(name)
    kept.header_key = header_key(mapping)
    kept.mapping = mapping_to_json(mapping)
    kept.changed_at = now
    kept.full_clean(exclude=["club", "member", "made_by"], validate_constraints=False)
    kept.save()
    return kept


def _lock_names(club_id: int | None, member_id: int) -> None:
    """Hold the names of a club's mappings, or of a member's own, until the transaction ends."""
    if club_id is None:
        lock_log(member_id)
    else:
        lock_club(club_id)


def _locked(actor: User, mapping_id: int) -> KeptMapping:
    """A mapping that the actor may change, as it stands once nobody else writes."""
    kept = kept_mapping_get(actor=actor, mapping_id=mapping_id)
    _lock_names(kept.club_id, actor.pk)
    return kept_mapping_get(actor=actor, mapping_id=mapping_id)


def _plain(name: str) -> str:
    return " ".join("".join(filter(lambda c: c.isprintable(), name)).split())


@transaction.atomic
def mapping_rename(*, actor: User, mapping_id: int, name: str, now: datetime) -> KeptMapping:
    """Call a kept mapping by another name.

    Raises:
        NotFoundError: There is none, or it is not the actor's to change.
        ConflictError: The name is taken.
        ValidationError: The name is empty or too long.
    """
    kept = _locked(actor, mapping_id)
    kept.name = _plain(name)
    kept.changed_at = now
    kept.full_clean(exclude=["club", "member", "made_by"], validate_constraints=False)
    same = KeptMapping.objects.filter(club=kept.club_id, member=kept.member_id, name=kept.name)
    if same.exclude(pk=kept.pk).exists():
        raise ConflictError(f"“{kept.name}” is the name of another one: choose another.")
    kept.save(update_fields=["name", "changed_at"])
    return kept


@transaction.atomic
def mapping_forget(*, actor: User, mapping_id: int) -> str:
    """Forget a kept mapping; files that were read by it keep their own copy. Its name.

    Raises:
        NotFoundError: There is none, or it is not the actor's to change.
    """
    kept = _locked(actor, mapping_id)
    kept.delete()
    return kept.name


def mapping_of(upload: Upload) -> ColumnMapping | None:
    """How an upload was read; None for one in our own formats."""
    return None if upload.mapping is None else mapping_from_json(upload.mapping)
