"""Times that may be compared, by the rule of `logs.solves.figures.instruments`, in queries."""

from datetime import datetime

from django.db.models import Case, CharField, F, IntegerField, Q, QuerySet, Value, When
from django.db.models.functions import Coalesce
from django.db.models.lookups import Exact

from clubsite.accounts.models import User
from cubecore.cases import CaseId
from cubecore.results import Kind
from cubecore.rows import TimedBy
from logs.people.sight import ClubSight, Sight, check_sight
from logs.solves.figures.instruments import HAND_STEP_MS, NEWEST, VIDEO_STEP_MS
from logs.solves.models.solves import Sighting, Solve
from logs.solves.models.tallies import LogVersion

MAIN = "member__log_version__instrument"


def instrument(solve: str = "") -> Case:
    """The instrument of a solve's times of turns: as the row says, else by how it is timed.

    Args:
        solve: The way to the solve, such as ``solve__``.
    """
    timed_by, marks, step = f"{solve}timed_by", f"{solve}mark_ms", f"{solve}step_ms"
    return Case(
        When(~Q(**{timed_by: ""}), then=F(timed_by)),
        When(~Q(**{marks: ""}), then=Value(TimedBy.HAND.value)),
        When(Q(**{f"{step}__gte": HAND_STEP_MS}), then=Value(TimedBy.HAND.value)),
        When(Q(**{f"{step}__gte": VIDEO_STEP_MS}), then=Value(TimedBy.VIDEO.value)),
        default=Value(TimedBy.SENSOR.value),
        output_field=CharField(),
    )


def is_alike(solve: str = "") -> Exact:
    """Whether a row's times of turns are the main instrument's of its member."""
    main = Coalesce(F(MAIN), Value(TimedBy.SENSOR.value))
    return Exact(instrument(solve), main)


def alike_time(name: str, solve: str = "") -> Case:
    """A time of turns, None where it may not be compared.

    Args:
        name: The field of the time.
        solve: As for `instrument`.
    """
    return Case(
        When(is_alike(solve), then=F(name)), default=Value(None), output_field=IntegerField()
    )


def alike_times(solve: str = "") -> dict[str, Case]:
    """Recognition and execution of a sighting, by names that no field of it has."""
    return {
        f"alike_{part}_ms": alike_time(f"{part}_ms", solve) for part in ("recognition", "execution")
    }


def _timed(solves: QuerySet[Solve]) -> QuerySet[Solve]:
    return solves.filter(Q(turn_gaps__isnull=False) | ~Q(mark_ms=""))


def newest_instruments(*, member_id: int) -> list[str]:
    """The instruments of the member's newest solves with times of turns, for a service."""
    newest = _timed(Solve.objects.filter(member=member_id)).order_by(
        F("done_at").desc(nulls_last=True), "-pk"
    )
    return list(
        newest.annotate(taken_with=instrument()).values_list("taken_with", flat=True)[:NEWEST]
    )


def main_instruments(*, sight: ClubSight) -> dict[int, str]:
    """The main instrument of a club's members whose logs the reader may open, by account."""
    kept = LogVersion.objects.filter(member__in=sight.user_ids)
    return dict(kept.values_list("member", "instrument"))


def instruments_used(
    *, actor: User, member: User | Sight
) -> list[tuple[datetime | None, int, str, bool]]:
    """Moment, number, instrument of the member's timed solves, and whether it is the main one.

    Drills are left out; in the order of time, the undated first.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    solves = Solve.objects.filter(member=check_sight(actor, member), kind=Kind.SOLVE)
    rows = _timed(solves).annotate(taken_with=instrument(), is_main=is_alike())
    in_time = rows.order_by(F("done_at").asc(nulls_first=True), "pk")
    return list(in_time.values_list("done_at", "pk", "taken_with", "is_main"))


def n_unlike(*, actor: User, member: User | Sight, case: CaseId | None = None) -> int:
    """How many solves have times of turns that are left out; of those that met a case, if one is given.

    Drills are left out.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    solves = _timed(Solve.objects.filter(member=check_sight(actor, member), kind=Kind.SOLVE))
    if case is not None:
        met = Sighting.objects.filter(stage=case.stage, case=case.text)
        solves = solves.filter(pk__in=met.values("solve"))
    return solves.alias(is_main=is_alike()).filter(is_main=False).count()
