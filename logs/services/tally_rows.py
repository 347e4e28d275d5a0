"""The rows that tallies are counted from, as `logs.services.case_counts` reads them."""

from collections.abc import Collection, Iterator, Mapping
from datetime import datetime
from typing import Any

from django.db.models import Case, F, FilteredRelation, JSONField, Max, Q, QuerySet, When

from cubecore.cases import Stage
from logs.analytics.standing import RECENT
from logs.models import Sighting, Solve
from logs.services.case_counts import CaseKey, Look, Place, as_text, read_look
from logs.services.week_counts import LAST_LAYER

_OLDEST_FIRST = (F("solve__done_at").asc(nulls_first=True), "solve", "stage")
_NEWEST_FIRST = (F("solve__done_at").desc(nulls_last=True), "-solve")


def sighting_rows(
    member_id: int, solve_ids: Collection[int] | None = None
) -> Iterator[Mapping[str, Any]]:
    """The member's sightings, or those of some solves, in the order of time, undated ones first."""
    own = Sighting.objects.filter(member=member_id)
    if solve_ids is not None:
        own = own.filter(solve__in=solve_ids)
    return _values(own.order_by(*_OLDEST_FIRST)).iterator()


def solve_rows(
    member_id: int, solve_ids: Collection[int] | None = None
) -> Iterator[Mapping[str, Any]]:
    """The member's solves, or some, as `logs.services.week_counts.count_weeks` reads them."""
    own = Solve.objects.filter(member=member_id)
    if solve_ids is not None:
        own = own.filter(pk__in=solve_ids)
    own = own.alias(
        oll=FilteredRelation("sightings", condition=Q(sightings__stage=Stage.OLL)),
        pll=FilteredRelation("sightings", condition=Q(sightings__stage=Stage.PLL)),
    )
    rows: Iterator[Mapping[str, Any]] = own.values(
        "kind", "done_at", "status", *LAST_LAYER
    ).iterator()
    return rows


def looks_around(member_id: int, key: CaseKey, first: Place, last: Place) -> tuple[str, list[Look]]:
    """The ``RECENT`` looks before ``first`` as text; those from it to ``last`` and as many after."""
    looked = _looked(member_id, key)
    before = _values(looked.filter(_before(first)).order_by(*_NEWEST_FIRST)[:RECENT])
    within = _values(looked.exclude(_before(first)).exclude(_after(last)).order_by(*_OLDEST_FIRST))
    after = _values(looked.filter(_after(last)).order_by(*_OLDEST_FIRST)[:RECENT])
    history = as_text(row["is_one_look"] for row in reversed(before))
    return history, [read_look(row) for row in (*within, *after)]


def newest_looks(member_id: int, key: CaseKey, *, without: Collection[int]) -> list[Look]:
    """The ``RECENT`` newest looks at a case but for those of some solves, oldest first."""
    looked = _looked(member_id, key).exclude(solve__in=without)
    return [read_look(row) for row in reversed(_values(looked.order_by(*_NEWEST_FIRST)[:RECENT]))]


def last_met_at(member_id: int, key: CaseKey, *, without: Collection[int]) -> datetime | None:
    """When a case last came up in the member's other solves."""
    others = _of_case(member_id, key).exclude(solve__in=without)
    met_at: datetime | None = others.aggregate(at=Max("solve__done_at"))["at"]
    return met_at


def _of_case(member_id: int, key: CaseKey) -> QuerySet[Sighting]:
    return Sighting.objects.filter(
        member=member_id, stage=key.stage, case=key.case, solve__kind=key.kind
    )


def _looked(member_id: int, key: CaseKey) -> QuerySet[Sighting]:
    return _of_case(member_id, key).filter(n_looks__gt=0)


def _before(place: Place) -> Q:
    same = Q(solve__done_at=place.at, solve__lt=place.solve_id)
    if place.at is None:
        return same
    return Q(solve__done_at=None) | Q(solve__done_at__lt=place.at) | same


def _after(place: Place) -> Q:
    same = Q(solve__done_at=place.at, solve__gt=place.solve_id)
    later = ~Q(solve__done_at=None) if place.at is None else Q(solve__done_at__gt=place.at)
    return later | same


def _values(sightings: QuerySet[Sighting]) -> QuerySet[Sighting, dict[str, Any]]:
    """Their rows; what was done is read where it was not one look alone, as nothing else tells."""
    return sightings.annotate(  # type: ignore[return-value]  # rows of these names, as plain dicts
        told=Case(When(is_one_look=False, then=F("looks")), default=None, output_field=JSONField())
    ).values(
        "solve_id",
        "solve__kind",
        "solve__done_at",
        "stage",
        "case",
        "n_looks",
        "is_one_look",
        "recognition_ms",
        "execution_ms",
        "told",
    )
