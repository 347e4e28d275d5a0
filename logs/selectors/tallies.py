"""Tallies of a club's members, and of one member, as far as the actor may see them."""

from typing import TYPE_CHECKING

from django.db.models import QuerySet

from cubecore.cases import SKIP, Stage
from cubecore.replay import Kind
from logs.models import CaseTally, Club, CoverageTally, MixUpTally
from logs.selectors.clubs import check_sight, visible_memberships

if TYPE_CHECKING:
    from clubsite.accounts.models import User


def _users(actor: "User", club: Club) -> QuerySet[CaseTally]:
    """The ids of the club's members whose logs ``actor`` may read, as a subquery."""
    return visible_memberships(actor).filter(club=club).values("user")  # type: ignore[return-value]  # one column, for __in


def case_tally_list(
    *, actor: "User", club: Club, stage: Stage, kind: Kind = Kind.SOLVE
) -> list[CaseTally]:
    """The tallies of one stage of all members of ``club`` that ``actor`` may read; no skips."""
    tallies = CaseTally.objects.filter(member__in=_users(actor, club), kind=kind, stage=stage)
    return list(tallies.exclude(case=SKIP).order_by("member", "case"))


def coverage_tally_list(*, actor: "User", club: Club) -> list[CoverageTally]:
    """The coverage of both stages of all members of ``club`` that ``actor`` may read."""
    tallies = CoverageTally.objects.filter(member__in=_users(actor, club))
    return list(tallies.order_by("member", "stage"))


def mix_up_tally_list(*, actor: "User", club: Club) -> list[MixUpTally]:
    """What was taken for what in solves, by all members of ``club`` that ``actor`` may read."""
    tallies = MixUpTally.objects.filter(member__in=_users(actor, club), kind=Kind.SOLVE)
    return list(tallies.order_by("stage", "shown", "done", "misfire_kind", "member"))


def own_case_tally_list(*, actor: "User", member: "User") -> list[CaseTally]:
    """A member's tallies in solves, both stages; no skips.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    tallies = CaseTally.objects.filter(member=member, kind=Kind.SOLVE).exclude(case=SKIP)
    return list(tallies.order_by("stage", "case"))


def own_mix_up_tally_list(*, actor: "User", member: "User") -> list[MixUpTally]:
    """What a member took for what in solves.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    tallies = MixUpTally.objects.filter(member=member, kind=Kind.SOLVE)
    return list(tallies.order_by("stage", "shown", "done", "misfire_kind"))
