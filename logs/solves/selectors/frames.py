"""Frames for analytics, each read in one query.

Tallies of a club's members, and of one member, as far as the actor may see them.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime
from functools import reduce
from operator import or_
from typing import Any

import pandas as pd
from django.db.models import (
    Case,
    F,
    FilteredRelation,
    IntegerField,
    JSONField,
    Q,
    QuerySet,
    TextField,
    Value,
    When,
)
from django.db.models.functions import Length

from clubsite.accounts.models import User
from cubecore.cases import SKIP, CaseId, EdgeStep, Stage
from cubecore.endings import Status
from cubecore.notation import parse_script
from cubecore.results import Kind
from cubecore.rows import PLUS_TWO_MS
from cubecore.skips import SkipOrigin
from logs.people.sight import ClubSight, Sight, check_sight
from logs.solves.figures.frames import SIGHTING_COLUMNS, SOLVE_COLUMNS, build_frame
from logs.solves.figures.mistakes import Cell, step_algorithms
from logs.solves.models.solves import Sighting, Solve
from logs.solves.models.tallies import (
    CaseTally,
    CaseWeekTally,
    CoverageTally,
    MixUpTally,
    WeekTally,
)
from logs.solves.selectors.alike import alike_time, alike_times


def _counted_time() -> Case:
    return Case(
        When(status=Status.DNF, then=Value(None)),
        When(status=Status.PLUS_TWO, then=F("time_ms") + PLUS_TWO_MS),
        default=F("time_ms"),
        output_field=IntegerField(),
    )


SPLITS = (
    *("cross_ms", "f2l_ms", "oll__recognition_ms", "oll__execution_ms"),
    *("pll__recognition_ms", "pll__execution_ms", "final_auf_ms"),
)


def _with_stages(solves: QuerySet[Solve]) -> QuerySet[Solve]:
    return solves.alias(
        oll=FilteredRelation("sightings", condition=Q(sightings__stage=Stage.OLL)),
        pll=FilteredRelation("sightings", condition=Q(sightings__stage=Stage.PLL)),
    )


def solve_frame(*, actor: User, member: User | Sight) -> pd.DataFrame:
    """The member's solves and drills as a ``SOLVE_COLUMNS`` frame; splits of one instrument alone.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    member = check_sight(actor, member)
    solves = _with_stages(Solve.objects.filter(member=member)).order_by(
        F("done_at").asc(nulls_first=True), "id"
    )
    rows = solves.values_list(
        "id",
        "done_at",
        "status",
        "kind",
        _counted_time(),
        *map(alike_time, SPLITS),
    )
    return build_frame(SOLVE_COLUMNS, rows)


def sighting_frame(
    *, actor: User, member: User | Sight, kind: Kind | str = Kind.SOLVE
) -> pd.DataFrame:
    """The cases met in the member's solves, or in their drills, as a ``SIGHTING_COLUMNS`` frame.

    Times are those of one instrument alone.

    Args:
        actor: Who asks.
        member: Whose log.
        kind: ``solve`` or ``drill``; the two are never mixed.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    member = check_sight(actor, member)
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
        alike_time("recognition_ms", "solve__"),
        alike_time("execution_ms", "solve__"),
        "algorithm",
        "misfire_kind",
        "misfire_case",
        "solve__step_ms",
    )
    return build_frame(SIGHTING_COLUMNS, rows)


ATTEMPT_COLUMNS: Mapping[str, str] = {
    "done_at": "datetime64[ns, UTC]",
    "active_ms": "float64",
    "n_turns": "int64",
}
"""One solve or drill on a line, oldest first; ``active_ms`` is the timer's reading, of DNFs too,
``n_turns`` the outer turns of its solution, 0 without one."""


def attempt_frame(*, actor: User, member: User | Sight, since: datetime) -> pd.DataFrame:
    """The member's dated attempts since a moment as ``ATTEMPT_COLUMNS``.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    member = check_sight(actor, member)
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


def edge_steps(*, actor: User, member: User | Sight, but: Collection[int] = ()) -> list[str]:
    """How the last layer's edges lay at each OLL of the member's solves, clean skips too.

    A skip that the last pair was made to bring is no draw of chance.

    Args:
        actor: Who asks.
        member: Whose.
        but: Solves to leave out.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    member = check_sight(actor, member)
    met = Sighting.objects.filter(member=member, stage=Stage.OLL, solve__kind=Kind.SOLVE)
    met = met.filter(skip__in=("", SkipOrigin.CLEAN))
    left_out = set(but)
    return [
        EdgeStep(step).value
        for step, solve_id in met.values_list("edge_step", "solve")
        if solve_id not in left_out
    ]


def case_tally_list(*, sight: ClubSight, stage: Stage, kind: Kind = Kind.SOLVE) -> list[CaseTally]:
    """The tallies of one stage of a club's members whose logs the reader may open; no skips."""
    tallies = CaseTally.objects.filter(member__in=sight.user_ids, kind=kind, stage=stage)
    tallies = tallies.exclude(case=SKIP)
    return list(tallies.order_by("member", "case"))


def coverage_tally_list(*, sight: ClubSight) -> list[CoverageTally]:
    """The coverage of both stages of a club's members whose logs the reader may open."""
    tallies = CoverageTally.objects.filter(member__in=sight.user_ids)
    return list(tallies.order_by("member", "stage"))


def mix_up_tally_list(*, sight: ClubSight) -> list[MixUpTally]:
    """What was taken for what in solves, by a club's members whose logs the reader may open."""
    tallies = MixUpTally.objects.filter(member__in=sight.user_ids, kind=Kind.SOLVE)
    return _without_steps(tallies.order_by("stage", "shown", "done", "misfire_kind", "member"))


def _without_steps(tallies: Iterable[MixUpTally]) -> list[MixUpTally]:
    """Those that count: not where the case was not known, nor by an algorithm of the member's steps."""
    cells: dict[int, list[Cell]] = defaultdict(list)
    rows = list(tallies)
    for row in rows:
        cell = Cell(row.stage, row.shown, row.done_stage, row.done, row.misfire_kind)
        cells[row.member_id].append(cell)
    steps = {member_id: step_algorithms(of_member) for member_id, of_member in cells.items()}
    return [row for row in rows if row.n and (row.done_stage, row.done) not in steps[row.member_id]]


def week_tally_list(
    *, sight: ClubSight, first: date, last: date, kind: Kind = Kind.SOLVE
) -> list[WeekTally]:
    """The weeks of a club's members whose logs the reader may open, oldest first.

    Args:
        sight: What the reader may read in the club.
        first: Monday of the first week, as `logs.solves.figures.counts.week_of` gives it.
        last: Monday of the last week.
        kind: Solves, or drills.
    """
    tallies = WeekTally.objects.filter(
        member__in=sight.user_ids, kind=kind, week__gte=first, week__lte=last
    )
    return list(tallies.order_by("week", "member"))


def case_week_tally_list(
    *, sight: ClubSight, case: CaseId, first: date, last: date
) -> list[CaseWeekTally]:
    """The weeks of one case in solves, of a club's members whose logs the reader may open.

    Args:
        sight: What the reader may read in the club.
        case: The case.
        first: Monday of the first week, as `logs.solves.figures.counts.week_of` gives it.
        last: Monday of the last week.
    """
    tallies = CaseWeekTally.objects.filter(
        member__in=sight.user_ids,
        kind=Kind.SOLVE,
        stage=case.stage,
        case=str(case.number),
        week__gte=first,
        week__lte=last,
    )
    return list(tallies.order_by("week", "member"))


def own_case_tally_list(*, actor: User, member: User | Sight) -> list[CaseTally]:
    """A member's tallies in solves, both stages; no skips.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    member = check_sight(actor, member)
    tallies = CaseTally.objects.filter(member=member, kind=Kind.SOLVE).exclude(case=SKIP)
    return list(tallies.order_by("stage", "case"))


def own_mix_up_tally_list(*, actor: User, member: User | Sight) -> list[MixUpTally]:
    """What a member took for what in solves.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    member = check_sight(actor, member)
    tallies = MixUpTally.objects.filter(member=member, kind=Kind.SOLVE)
    return _without_steps(tallies.order_by("stage", "shown", "done", "misfire_kind"))


def looked_rows(
    *, actor: User, member: User | Sight, cases: Collection[tuple[str, str]]
) -> list[dict[str, Any]]:
    """The looked-at sightings in solves of some cases, in the order of time, as tallies count them.

    Args:
        actor: Who asks.
        member: Whose.
        cases: Stage and number or letters.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    member = check_sight(actor, member)
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
    return list(rows.values(*names, **alike_times("solve__")))


def sighting_looks() -> Case:
    """The looks of a sighting, None where it went in one look: nothing of that needs telling."""
    return Case(When(is_one_look=False, then=F("looks")), default=None, output_field=JSONField())
