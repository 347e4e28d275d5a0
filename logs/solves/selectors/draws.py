"""What was drawn to be written down, and which rows rates are made of."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from django.db.models import Exists, F, OuterRef, Prefetch, Q, QuerySet, Subquery

from clubsite.accounts.models import User
from cubecore.results import Kind
from logs.errors import NotFoundError
from logs.people.sight import Sight, check_sight
from logs.solves.figures.sampling import AskedPlace, RateRows, rate_rows
from logs.solves.models.draws import Draw, DrawnSolve, WrittenSolve
from logs.solves.models.solves import Solve


def _asked(draws: QuerySet[Draw]) -> QuerySet[DrawnSolve]:
    """The places that draws asked for, in the order they are to be written."""
    places = DrawnSolve.objects.filter(draw__in=draws, round__lte=F("draw__n_rounds"))
    return places.order_by("draw", "round", "part")


def draw_list(*, actor: User) -> list[Draw]:
    """The actor's draws, the newest first, each with the places it asked for as ``asked``."""
    if not actor.is_active:
        return []
    draws = Draw.objects.filter(member=actor)
    asked = Prefetch("places", _asked(draws), to_attr="asked")
    return list(draws.prefetch_related(asked).order_by("-drawn_at", "-id"))


def draw_get(*, actor: User, draw_id: int) -> Draw:
    """One of the actor's draws.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    draw = Draw.objects.filter(member=actor, pk=draw_id).first()
    if draw is None or not actor.is_active:
        raise NotFoundError("draw")
    return draw


def drawn_solves(*, actor: User) -> dict[int, Solve]:
    """The actor's solves that draws asked for and that stand in the log, by number."""
    numbers = _asked(Draw.objects.filter(member=actor)).order_by().values("solve_number")
    return {solve.pk: solve for solve in Solve.objects.filter(member=actor, pk__in=numbers)}


def drawn_next(*, actor: User) -> Solve | None:
    """The next of the actor's drawn solves that has no solution; None where none is left."""
    asked = _asked(Draw.objects.filter(member=actor)).filter(solve_number=OuterRef("pk"))
    alone = Solve.objects.filter(member=actor, solution="").filter(Exists(asked))
    place = (Subquery(asked.values(name)[:1]) for name in ("draw", "round", "part"))
    return alone.order_by(*place).first()


def undrawn(*, member_id: int, since: date | None, zone: ZoneInfo) -> QuerySet[Solve]:
    """The member's solves with a time alone that no draw has drawn from, in the order of time.

    Args:
        member_id: Whose.
        since: The first day of them; None for all, undated ones too.
        zone: Says when a day begins.
    """
    alone = Solve.objects.filter(member=member_id, solution="")
    if since is not None:
        alone = alone.filter(done_at__gte=_midnight(since, zone))
    for draw in Draw.objects.filter(member=member_id):
        seen = Q(pk__lte=draw.last_number)
        if draw.since is not None:
            seen &= Q(done_at__gte=_midnight(draw.since, ZoneInfo(draw.zone)))
            seen &= Q(done_at__isnull=False)
        alone = alone.exclude(seen)
    return alone.order_by(F("done_at").asc(nulls_first=True), "pk")


def _midnight(day: date, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, time(), zone)


def n_undrawn(*, actor: User, zone: ZoneInfo) -> int:
    """How many of the actor's solves a draw could be made from."""
    return undrawn(member_id=actor.pk, since=None, zone=zone).count() if actor.is_active else 0


def member_rate_rows(*, actor: User, member: User | Sight) -> RateRows:
    """Which rows rates of a member are made of.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    return rate_rows_of_log(member_id=check_sight(actor, member).pk)


def rate_rows_of_log(*, member_id: int) -> RateRows:
    """The same, for a service that counts the log."""
    return rate_rows_of_logs(member_ids=[member_id])[member_id]


def rate_rows_of_logs(*, member_ids: Collection[int]) -> dict[int, RateRows]:
    """The same of several members, whose logs the caller may read, by account."""
    places: dict[int, list[tuple[int, float]]] = defaultdict(list)
    drawn = _asked(Draw.objects.filter(member__in=member_ids)).order_by()
    for member_id, number, n_in_part, n_rounds in drawn.values_list(
        "draw__member", "solve_number", "n_in_part", "draw__n_rounds"
    ):
        places[member_id].append((number, n_in_part / n_rounds))
    by_hand: dict[int, set[int]] = defaultdict(set)
    noted = WrittenSolve.objects.filter(member__in=member_ids)
    for member_id, number in noted.values_list("member", "solve_number"):
        by_hand[member_id].add(number)
    return {
        member_id: _rate_rows(member_id, by_hand[member_id], places[member_id])
        for member_id in member_ids
    }


def _rate_rows(member_id: int, by_hand: set[int], places: Sequence[tuple[int, float]]) -> RateRows:
    """Of one member; it asks the database only where something was written by hand or drawn."""
    if not places and not by_hand:
        return RateRows()
    solved = Solve.objects.filter(member=member_id).exclude(solution="")
    numbers = by_hand | {number for number, _ in places}
    written = set(solved.filter(pk__in=numbers).values_list("pk", flat=True))
    logged = solved.filter(kind=Kind.SOLVE).exclude(pk__in=written)
    return rate_rows(
        written=written & by_hand,
        asked=[AskedPlace(number, weight, number in written) for number, weight in places],
        has_logged=logged.exists(),
    )
