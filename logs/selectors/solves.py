"""Solves, one by one and page by page."""

from datetime import datetime
from enum import StrEnum
from typing import TYPE_CHECKING, Final, NamedTuple

from django.core.paginator import Page, Paginator
from django.db.models import F, Prefetch, Q, QuerySet

from cubecore.cases import Stage
from cubecore.replay import Kind, Status
from logs.errors import NotFoundError
from logs.models import Sighting, Solve
from logs.selectors.clubs import check_sight, visible_memberships

if TYPE_CHECKING:
    from clubsite.accounts.models import User

PAGE_SIZE = 50


def _with_sightings(solves: QuerySet[Solve]) -> QuerySet[Solve]:
    """``solves`` with their sightings, OLL first."""
    return solves.prefetch_related(Prefetch("sightings", Sighting.objects.order_by("stage")))


class Behind(StrEnum):
    """A kind of figure, to list the solves behind it."""

    LOOKS = "looks"
    TIMES = "times"
    ONE_LOOK_TIMES = "one-look-times"
    SPLITS = "splits"


class Window(NamedTuple):
    """So many solves of any kind but drills, up to one of them, which is the last."""

    solve_id: int
    n: int


_TIMED = Q(recognition_ms__gt=0, execution_ms__gt=0)
_SIGHTINGS_BEHIND: Final = {
    Behind.LOOKS: Q(n_looks__gt=0),
    Behind.TIMES: _TIMED,
    Behind.ONE_LOOK_TIMES: _TIMED & Q(is_one_look=True),
}
_HAS_SPLITS: Final = Q(
    kind=Kind.SOLVE, cross_ms__isnull=False, f2l_ms__isnull=False, final_auf_ms__isnull=False
) & ~Q(status=Status.DNF)


def _split_in(member: "User", stage: Stage) -> QuerySet[Sighting, int]:
    timed = Sighting.objects.filter(member=member, stage=stage, recognition_ms__isnull=False)
    return timed.values_list("solve", flat=True)


def _of_window(member: "User", window: Window) -> list[int]:
    solves = Solve.objects.filter(member=member).exclude(kind=Kind.DRILL)
    ids = list(
        solves.order_by(F("done_at").asc(nulls_first=True), "id").values_list("id", flat=True)
    )
    end = ids.index(window.solve_id) + 1 if window.solve_id in ids else 0
    return ids[max(0, end - window.n) : end]


def solve_list(
    *,
    actor: "User",
    member: "User",
    page: int = 1,
    page_size: int = PAGE_SIZE,
    kind: Kind | None = None,
    stage: Stage | None = None,
    case: str | None = None,
    behind: Behind | None = None,
    window: Window | None = None,
    span: tuple[datetime, datetime] | None = None,
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
        behind: Only those behind a figure; of a case's figures together with ``case``.
        window: Only those of an average.
        span: Only those done from the one moment on and before the other.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    solves = Solve.objects.filter(member=member)
    if kind is not None:
        solves = solves.filter(kind=kind)
    if stage is not None and case is not None:
        met = Sighting.objects.filter(member=member, stage=stage, case=case)
        if behind in _SIGHTINGS_BEHIND:
            met = met.filter(_SIGHTINGS_BEHIND[behind])
        solves = solves.filter(pk__in=met.values("solve"))
    if behind is Behind.SPLITS:
        solves = solves.filter(_HAS_SPLITS, pk__in=_split_in(member, Stage.OLL))
        solves = solves.filter(pk__in=_split_in(member, Stage.PLL))
    if window is not None:
        solves = solves.filter(pk__in=_of_window(member, window))
    if span is not None:
        solves = solves.filter(done_at__gte=span[0], done_at__lt=span[1])
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


def solve_of_line(*, actor: "User", upload_id: int, line: int) -> Solve | None:
    """The solve that a line of one of the actor's uploads became; None where it became none."""
    return Solve.objects.filter(member=actor, upload=upload_id, line=line).first()
