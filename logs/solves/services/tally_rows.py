"""One member's solves counted by week. Nothing here touches the database."""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.db.models import Case, F, FilteredRelation, JSONField, Max, Q, QuerySet, When

from cubecore.cases import Stage
from cubecore.endings import Status
from cubecore.replay import Kind
from logs.solves.figures.standing import RECENT
from logs.solves.figures.weeks import week_of
from logs.solves.models.solves import Sighting, Solve
from logs.solves.services.case_counts import CaseKey, Look, Place, place_of, read_look
from logs.stats.sketch import bucket_of

LAST_LAYER = (
    "oll__recognition_ms",
    "oll__execution_ms",
    "pll__recognition_ms",
    "pll__execution_ms",
)
"""What a last layer's time is the sum of."""


@dataclass(slots=True)
class WeekCell:
    """What the solves of one week come to.

    Attributes:
        n: How many there are.
        last_layer_ms_sum: Sum of the last layers that count.
        last_layer: The same by bucket of `logs.stats.sketch`.
    """

    n: int = 0
    last_layer_ms_sum: int = 0
    last_layer: Counter[int] = field(default_factory=Counter)


def count_weeks(solves: Iterable[Mapping[str, Any]]) -> dict[tuple[str, date | None], WeekCell]:
    """Solves counted by kind and Monday; None for those without a date.

    The last layer of a solve counts where the solve does (no DNF) and both of its stages are timed.

    Args:
        solves: Rows with ``kind``, ``done_at``, ``status`` and ``LAST_LAYER``, in any order.
    """
    cells: dict[tuple[str, date | None], WeekCell] = {}
    for row in solves:
        at = row["done_at"]
        key = (row["kind"] or Kind.SOLVE.value, None if at is None else week_of(at))
        cell = cells.setdefault(key, WeekCell())
        cell.n += 1
        parts = [row[name] for name in LAST_LAYER]
        if row["status"] == Status.DNF or None in parts or not sum(parts):
            continue
        cell.last_layer_ms_sum += sum(parts)
        cell.last_layer[bucket_of(sum(parts))] += 1
    return cells


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
    """The member's solves, or some, as `logs.solves.services.tally_rows.count_weeks` reads them."""
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


def looks_around(
    member_id: int, key: CaseKey, first: Place, last: Place
) -> tuple[list[tuple[Place, bool]], list[Look]]:
    """The ``RECENT`` looks before ``first``; those from it to ``last`` and as many after."""
    looked = _looked(member_id, key)
    before = _values(looked.filter(_before(first)).order_by(*_NEWEST_FIRST)[:RECENT])
    within = _values(looked.exclude(_before(first)).exclude(_after(last)).order_by(*_OLDEST_FIRST))
    after = _values(looked.filter(_after(last)).order_by(*_OLDEST_FIRST)[:RECENT])
    history = [
        (place_of(row["solve__done_at"], row["solve_id"]), row["is_one_look"])
        for row in reversed(before)
    ]
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
