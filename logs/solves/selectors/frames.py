"""Frames for analytics, each read in one query."""

from collections.abc import Mapping
from datetime import datetime

import pandas as pd
from django.db.models import (
    Case,
    F,
    FilteredRelation,
    IntegerField,
    Q,
    QuerySet,
    TextField,
    Value,
    When,
)
from django.db.models.functions import Length

from clubsite.accounts.models import User
from cubecore.cases import EdgeStep, Stage
from cubecore.endings import Status
from cubecore.notation import parse_script
from cubecore.replay import Kind
from cubecore.rows import PLUS_TWO_MS
from logs.people.sight import check_sight
from logs.solves.figures.frames import SIGHTING_COLUMNS, SOLVE_COLUMNS, build_frame
from logs.solves.models.solves import Sighting, Solve


def _counted_time() -> Case:
    return Case(
        When(status=Status.DNF, then=Value(None)),
        When(status=Status.PLUS_TWO, then=F("time_ms") + PLUS_TWO_MS),
        default=F("time_ms"),
        output_field=IntegerField(),
    )


def _with_stages(solves: QuerySet[Solve]) -> QuerySet[Solve]:
    return solves.alias(
        oll=FilteredRelation("sightings", condition=Q(sightings__stage=Stage.OLL)),
        pll=FilteredRelation("sightings", condition=Q(sightings__stage=Stage.PLL)),
    )


def solve_frame(*, actor: User, member: User) -> pd.DataFrame:
    """The member's solves and drills as a ``SOLVE_COLUMNS`` frame.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    solves = _with_stages(Solve.objects.filter(member=member)).order_by(
        F("done_at").asc(nulls_first=True), "id"
    )
    rows = solves.values_list(
        "id",
        "done_at",
        "status",
        "kind",
        _counted_time(),
        "cross_ms",
        "f2l_ms",
        "oll__recognition_ms",
        "oll__execution_ms",
        "pll__recognition_ms",
        "pll__execution_ms",
        "final_auf_ms",
    )
    return build_frame(SOLVE_COLUMNS, rows)


def sighting_frame(*, actor: User, member: User, kind: Kind | str = Kind.SOLVE) -> pd.DataFrame:
    """The cases met in the member's solves, or in their drills, as a ``SIGHTING_COLUMNS`` frame.

    Args:
        actor: Who asks.
        member: Whose log.
        kind: ``solve`` or ``drill``; the two are never mixed.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    sightings = Sighting.objects.filter(member=member, solve__kind=Kind(kind)).order_by(
        F("solve__done_at").asc(nulls_first=True), "solve", "stage"
    )
    rows = sightings.values_list(
        "id",
        "solve_id",
        "solve__done_at",
        "stage",
        "case",
        "angle",
        "is_one_look",
        "n_looks",
        "first_outcome",
        "recognition_ms",
        "execution_ms",
        "algorithm",
        "misfire_kind",
        "misfire_case",
    )
    return build_frame(SIGHTING_COLUMNS, rows)


ATTEMPT_COLUMNS: Mapping[str, str] = {
    "done_at": "datetime64[ns, UTC]",
    "active_ms": "float64",
    "n_turns": "int64",
}
"""One solve or drill on a line, oldest first; ``active_ms`` is the timer's reading, of DNFs too,
``n_turns`` the outer turns of its solution, 0 without one."""


def attempt_frame(*, actor: User, member: User, since: datetime) -> pd.DataFrame:
    """The member's dated attempts since a moment as ``ATTEMPT_COLUMNS``.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    unread = Case(
        When(solution_turns=None, then=F("solution")), default=Value(""), output_field=TextField()
    )
    rows = (
        Solve.objects.filter(member=member, done_at__gte=since)
        .order_by("done_at", "id")
        .values_list("done_at", "time_ms", Length("solution_turns"), unread)
    )
    return build_frame(
        ATTEMPT_COLUMNS,
        [
            (at, time_ms, len(parse_script(text).turns) if text else n or 0)
            for at, time_ms, n, text in rows
        ],
    )


def edge_steps(*, actor: User, member: User) -> list[str]:
    """How the last layer's edges lay at each OLL of the member's solves, skips too.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    met = Sighting.objects.filter(member=member, stage=Stage.OLL, solve__kind=Kind.SOLVE)
    return [EdgeStep(step).value for step in met.values_list("edge_step", flat=True)]
