"""What the order of a member's next cases is worked out from, and the coach's words on it."""

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd
from django.db.models import F, Q, QuerySet

from clubsite.accounts.models import User
from cubecore.outcomes import Outcome
from cubecore.results import Kind
from logs.errors import NotFoundError
from logs.next_up.models import Override
from logs.people.models import Membership
from logs.people.sight import coached_membership_get, visible_memberships
from logs.solves.figures.frames import build_frame
from logs.solves.models.solves import Sighting
from logs.solves.selectors.alike import alike_time, is_alike
from logs.solves.selectors.draws import rate_rows_of_logs


def overrides_in_force(
    *, actor: User, member: User, membership: Membership | None = None
) -> list[Override]:
    """The coaches' words on a member's list that hold, oldest first.

    Args:
        actor: Who asks, and may read the member's log.
        member: Whose list.
        membership: The club whose coaches are heard; on the member's own page, None, all of them.
    """
    words = Override.objects.filter(member=member, withdrawn_at=None)
    clubs = visible_memberships(actor).filter(user=member)
    if membership is not None:
        clubs = clubs.filter(pk=membership.pk)
    words = words.filter(club__in=clubs.values("club"))
    return list(words.select_related("by", "club").order_by("at", "id"))


def override_get(*, actor: User, membership_id: int, override_id: int) -> Override:
    """A word in force on the list of a member whom ``actor`` coaches.

    Raises:
        NotFoundError: There is none, or the member is not theirs to coach or to read.
    """
    membership = coached_membership_get(actor=actor, membership_id=membership_id)
    for word in overrides_in_force(actor=actor, member=membership.user, membership=membership):
        if word.pk == override_id:
            return word
    raise NotFoundError("override")


NEXT_COLUMNS: Mapping[str, str] = {
    "member_id": "int64",
    "stage": "str",
    "case": "str",
    "is_one_look": "bool",
    "recognition_ms": "float64",
    "execution_ms": "float64",
}
"""One sighting, in a solve, in which a look was made, oldest first. Times are NaN where the log does not tell."""


TWO_LOOK_COLUMNS: Mapping[str, str] = {
    "member_id": "int64",
    "stage": "str",
    "case": "str",
    "edge_step": "str",
    "permutation_step": "str",
    "second_algorithm": "str",
    "first_ms": "float64",
    "second_ms": "float64",
}
"""One sighting that went in two looks, the first of which did its part of the stage."""


def next_up_frame(*, actor: User, members: Sequence[User]) -> pd.DataFrame:
    """The sightings of several members as a ``NEXT_COLUMNS`` frame; skips are none.

    Solves that rates leave out (`logs.solves.figures.sampling`) are left out.

    Members whose logs ``actor`` may not read have no rows.
    """
    counted = rate_rows_of_logs(member_ids=[member.pk for member in members]).values()
    rows = (
        _readable(actor, members)
        .filter(n_looks__gt=0)
        .exclude(solve__in=[number for of_member in counted for number in of_member.left_out])
        .values_list(
            *("member_id", "stage", "case", "is_one_look"),
            alike_time("recognition_ms", "solve__"),
            alike_time("execution_ms", "solve__"),
        )
    )
    return build_frame(NEXT_COLUMNS, rows)


def two_look_frame(*, actor: User, members: Sequence[User]) -> pd.DataFrame:
    """The sightings of several members in two clean looks, as a ``TWO_LOOK_COLUMNS`` frame.

    Members whose logs ``actor`` may not read have no rows.
    """
    rows = (
        _readable(actor, members)
        .alias(is_alike=is_alike("solve__"))
        .filter(n_looks=2, is_reached=True, recognition_ms__isnull=False, is_alike=True)
        .filter(first_outcome__in=(Outcome.EDGES.value, Outcome.CORNERS.value))
        .values_list("member_id", "stage", "case", "edge_step", "permutation_step", "looks")
    )
    return build_frame(
        TWO_LOOK_COLUMNS,
        (
            (*told, second["algorithm"], _took(first), _took(second))
            for *told, (first, second) in rows
        ),
    )


def _readable(actor: User, members: Sequence[User]) -> QuerySet[Sighting]:
    wanted = [member.pk for member in members]
    shown = visible_memberships(actor).filter(user__in=wanted).values("user")
    return Sighting.objects.filter(
        Q(member__in=shown) | Q(member=actor), member__in=wanted, solve__kind=Kind.SOLVE
    ).order_by("member", F("solve__done_at").asc(nulls_first=True), "solve")


def _took(look: Mapping[str, Any]) -> int | None:
    if look["recognition_ms"] is None or look["execution_ms"] is None:
        return None
    return int(look["recognition_ms"]) + int(look["execution_ms"])
