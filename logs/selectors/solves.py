"""Solves, one by one and page by page."""

from typing import TYPE_CHECKING

from django.core.paginator import Page, Paginator
from django.db.models import F, Prefetch, Q, QuerySet

from cubecore.cases import Stage
from cubecore.replay import Kind
from logs.errors import NotFoundError
from logs.models import Sighting, Solve
from logs.selectors.clubs import check_sight, visible_memberships

if TYPE_CHECKING:
    from clubsite.accounts.models import User

PAGE_SIZE = 50


def _with_sightings(solves: QuerySet[Solve]) -> QuerySet[Solve]:
    """``solves`` with their sightings, OLL first."""
    return solves.prefetch_related(Prefetch("sightings", Sighting.objects.order_by("stage")))


def solve_list(
    *,
    actor: "User",
    member: "User",
    page: int = 1,
    page_size: int = PAGE_SIZE,
    kind: Kind | None = None,
    stage: Stage | None = None,
    case: str | None = None,
) -> Page[Solve]:
    """A page of the member's solves with their sightings, newest first, undated ones last.

    Args:
        actor: Who asks.
        member: Whose solves.
        page: 1-based; past either end the nearest page is answered.
        page_size: Solves on a page.
        kind: Only solves, or only drills.
        stage: Together with ``case``: only solves that met this case in this stage.
        case: OLL number or PLL letters as text, or ``skip``.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    solves = Solve.objects.filter(member=member)
    if kind is not None:
        solves = solves.filter(kind=kind)
    if stage is not None and case is not None:
        met = Sighting.objects.filter(member=member, stage=stage, case=case)
        solves = solves.filter(pk__in=met.values("solve"))
    newest_first = solves.order_by(F("done_at").desc(nulls_last=True), "-id")
    return Paginator(_with_sightings(newest_first), page_size).get_page(page)


def solve_get(*, actor: "User", solve_id: int) -> Solve:
    """A solve with its sightings and its member.

    Raises:
        NotFoundError: There is none, or it is not the actor's to read.
    """
    if not actor.is_active:
        raise NotFoundError("solve")
    shown = Q(member=actor) | Q(member__in=visible_memberships(actor).values("user"))
    solves = _with_sightings(Solve.objects.filter(shown).select_related("member"))
    solve = solves.filter(pk=solve_id).first()
    if solve is None:
        raise NotFoundError("solve")
    return solve
