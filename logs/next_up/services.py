"""A coach's word on what a member learns next: said and withdrawn, never lost."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from clubsite.accounts.models import User
from cubecore.cases import CaseId
from logs.next_up.models import Override
from logs.next_up.order import OverrideKind
from logs.next_up.selectors import override_get
from logs.people.sight import coached_membership_get

MAX_PLACE = 78


@transaction.atomic
def override_set(
    *,
    actor: User,
    membership_id: int,
    case: CaseId,
    kind: OverrideKind,
    place: int | None = None,
    reason: str,
    now: datetime,
) -> Override:
    """Pin, skip or move a case on a member's list; an earlier word on it is withdrawn.

    Raises:
        NotFoundError: The member is not the actor's to coach, or hides their log from them.
        ValidationError: There is no reason, or a place without a move, or a move without one.
    """
    member = coached_membership_get(actor=actor, membership_id=membership_id)
    if not reason.strip():
        raise ValidationError("Say why; the member reads it.")
    if (kind is OverrideKind.MOVE) != (place is not None):
        raise ValidationError("A move, and only a move, names a place.")
    if place is not None and not 1 <= place <= MAX_PLACE:
        raise ValidationError(f"The place is {place}; the first is 1, the last {MAX_PLACE}.")
    in_force = Override.objects.filter(
        club=member.club_id,
        member=member.user_id,
        stage=case.stage.value,
        case=str(case.number),
        withdrawn_at=None,
    )
    in_force.update(withdrawn_at=now, withdrawn_by=actor)
    override = Override(
        club=member.club,
        member=member.user,
        stage=case.stage.value,
        case=str(case.number),
        kind=kind.value,
        place=place,
        reason=reason.strip(),
        by=actor,
        at=now,
    )
    override.full_clean()
    override.save()
    return override


@transaction.atomic
def override_withdraw(
    *, actor: User, membership_id: int, override_id: int, now: datetime
) -> Override:
    """Take a word back: the list is as it would be without it.

    Raises:
        NotFoundError: It is not in force, or not about a member of the actor's to coach.
    """
    override = override_get(actor=actor, membership_id=membership_id, override_id=override_id)
    override.withdrawn_at, override.withdrawn_by = now, actor
    override.save(update_fields=["withdrawn_at", "withdrawn_by"])
    return override
