"""Tallies of a club's members, and of one member, as far as the actor may see them."""

from collections.abc import Collection
from datetime import date
from functools import reduce
from operator import or_
from typing import Any

from django.db.models import Case, F, JSONField, Q, QuerySet, When

from clubsite.accounts.models import User
from cubecore.cases import SKIP, CaseId, Stage
from cubecore.replay import Kind
from logs.people.models import Club
from logs.people.sight import check_sight, visible_memberships
from logs.solves.models.solves import Sighting
from logs.solves.models.tallies import (
    CaseTally,
    CaseWeekTally,
    CoverageTally,
    MixUpTally,
    WeekTally,
)


def _users(actor: User, club: Club) -> QuerySet[CaseTally]:
    """The ids of the club's members whose logs ``actor`` may read, as a subquery."""
    return visible_memberships(actor).filter(club=club).values("user")  # type: ignore[return-value]  # one column, for __in


def case_tally_list(
    *, actor: User, club: Club, stage: Stage, kind: Kind = Kind.SOLVE
) -> list[CaseTally]:
    """The tallies of one stage of all members of ``club`` that ``actor`` may read; no skips."""
    tallies = CaseTally.objects.filter(member__in=_users(actor, club), kind=kind, stage=stage)
    tallies = tallies.exclude(case=SKIP)
    return list(tallies.order_by("member", "case"))


def coverage_tally_list(*, actor: User, club: Club) -> list[CoverageTally]:
    """The coverage of both stages of all members of ``club`` that ``actor`` may read."""
    tallies = CoverageTally.objects.filter(member__in=_users(actor, club))
    return list(tallies.order_by("member", "stage"))


def mix_up_tally_list(*, actor: User, club: Club) -> list[MixUpTally]:
    """What was taken for what in solves, by all members of ``club`` that ``actor`` may read."""
    tallies = MixUpTally.objects.filter(member__in=_users(actor, club), kind=Kind.SOLVE)
    return list(tallies.order_by("stage", "shown", "done", "misfire_kind", "member"))


def week_tally_list(
    *, actor: User, club: Club, first: date, last: date, kind: Kind = Kind.SOLVE
) -> list[WeekTally]:
    """The weeks of all members of ``club`` that ``actor`` may read, oldest first.

    Args:
        actor: Who asks.
        club: Whose members.
        first: Monday of the first week, as `logs.solves.figures.weeks.week_of` gives it.
        last: Monday of the last week.
        kind: Solves, or drills.
    """
    tallies = WeekTally.objects.filter(
        member__in=_users(actor, club), kind=kind, week__gte=first, week__lte=last
    )
    return list(tallies.order_by("week", "member"))


def case_week_tally_list(
    *, actor: User, club: Club, case: CaseId, first: date, last: date
) -> list[CaseWeekTally]:
    """The weeks of one case in solves, of all members of ``club`` that ``actor`` may read.

    Args:
        actor: Who asks.
        club: Whose members.
        case: The case.
        first: Monday of the first week, as `logs.solves.figures.weeks.week_of` gives it.
        last: Monday of the last week.
    """
    tallies = CaseWeekTally.objects.filter(
        member__in=_users(actor, club),
        kind=Kind.SOLVE,
        stage=case.stage,
        case=str(case.number),
        week__gte=first,
        week__lte=last,
    )
    return list(tallies.order_by("week", "member"))


def own_case_tally_list(*, actor: User, member: User) -> list[CaseTally]:
    """A member's tallies in solves, both stages; no skips.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    tallies = CaseTally.objects.filter(member=member, kind=Kind.SOLVE).exclude(case=SKIP)
    return list(tallies.order_by("stage", "case"))


def own_mix_up_tally_list(*, actor: User, member: User) -> list[MixUpTally]:
    """What a member took for what in solves.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    tallies = MixUpTally.objects.filter(member=member, kind=Kind.SOLVE)
    return list(tallies.order_by("stage", "shown", "done", "misfire_kind"))


def looked_rows(
    *, actor: User, member: User, cases: Collection[tuple[str, str]]
) -> list[dict[str, Any]]:
    """The looked-at sightings in solves of some cases, in the order of time, as tallies count them.

    Args:
        actor: Who asks.
        member: Whose.
        cases: Stage and number or letters.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    if not cases:
        return []
    wanted = reduce(or_, (Q(stage=stage, case=case) for stage, case in sorted(cases)))
    sightings = Sighting.objects.filter(
        wanted, member=member, solve__kind=Kind.SOLVE, n_looks__gt=0
    )
    rows = sightings.annotate(told=sighting_looks()).order_by(
        F("solve__done_at").asc(nulls_first=True), "solve"
    )
    names = ("solve_id", "solve__done_at", "stage", "case", "is_one_look", "told")
    return list(rows.values(*names, "recognition_ms", "execution_ms"))


def sighting_looks() -> Case:
    """The looks of a sighting, None where it went in one look: nothing of that needs telling."""
    return Case(When(is_one_look=False, then=F("looks")), default=None, output_field=JSONField())
