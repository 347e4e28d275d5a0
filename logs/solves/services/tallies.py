"""Tallies kept beside a member's sightings: every cell that a change touches is counted anew.

A week's cells are counted from the rows of that week, those of solves without a date from a range
of their numbers; a case's cells are what its weeks come to.
Nothing is ever taken out of a count, so a change leaves what counting the whole log would.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, date, datetime, time, timedelta
from functools import reduce
from itertools import groupby
from operator import itemgetter, or_
from typing import Any

from django.contrib.auth import get_user_model
from django.db import transaction
from django.db.models import F, FilteredRelation, Model, Q

from cubecore.cases import Stage
from cubecore.results import Kind
from logs.cases.facts import case_chances
from logs.people.locks import lock_log
from logs.solves.figures.counts import (
    SUM_FIELDS,
    UNDATED,
    CaseKey,
    When,
    case_mistakes,
    case_total,
    count_sightings,
    count_weeks,
    when_of,
)
from logs.solves.figures.frames import build_frame
from logs.solves.figures.instruments import main_instrument
from logs.solves.figures.rates import LOOK_COLUMNS, stage_coverage
from logs.solves.figures.sampling import RateRows
from logs.solves.figures.standing import HIT
from logs.solves.models.solves import Sighting, Solve
from logs.solves.models.tallies import (
    CaseTally,
    CaseWeekTally,
    CoverageTally,
    LogVersion,
    MixUpTally,
    WeekTally,
)
from logs.solves.selectors.alike import alike_time, alike_times, newest_instruments
from logs.solves.selectors.draws import rate_rows_of_log
from logs.solves.selectors.frames import sighting_looks

CHUNK = 500
"""Rows of a statement."""


RUNS = 50
"""Runs of weeks that one statement reads."""


Weeks = frozenset[When]
"""The weeks and parts that solves are counted in."""


def log_changed(*, member_id: int) -> None:
    """Raise the version of a member's log.

    Call it in the transaction that adds, removes or relabels solves, under the log's lock;
    `tally_add` and `tallies_following` do so for all of their callers.
    """
    raised = LogVersion.objects.filter(member=member_id).update(version=F("version") + 1)
    if not raised:
        LogVersion.objects.create(member_id=member_id)


@transaction.atomic(savepoint=False)
def tally_add(*, member_id: int, solve_ids: Collection[int]) -> None:
    """Count solves that are new in a member's log, with their sightings.

    Call it once for each chunk of an import, in the chunk's transaction and after its sightings are
    written, with the ids of the new solves, those without a sighting too. It costs what the weeks
    of these solves cost, however long the log is. To change or remove solves: `tallies_following`.
    """
    if not solve_ids:
        return
    lock_log(member_id)
    log_changed(member_id=member_id)
    _count(member_id, _weeks_of(solve_ids))


@contextmanager
def tallies_following(ids_by_member: Mapping[int, Collection[int]]) -> Iterator[None]:
    """Within it these solves or their sightings are changed or removed; tallies follow at its end.

    Args:
        ids_by_member: The solves that change, by member.
    """
    with transaction.atomic():
        before: dict[int, Weeks] = {}
        for member_id in sorted(member_id for member_id, ids in ids_by_member.items() if ids):
            lock_log(member_id)
            before[member_id] = _weeks_of(ids_by_member[member_id])
        yield
        for member_id, weeks in before.items():
            log_changed(member_id=member_id)
            _count(member_id, weeks | _weeks_of(ids_by_member[member_id]))


@transaction.atomic
def tally_rebuild(*, member_ids: Iterable[int]) -> None:
    """Count the logs of these members anew; one with no solve has no tally."""
    for member_id in sorted(set(member_ids)):
        lock_log(member_id)
        log_changed(member_id=member_id)
        _count(member_id, None)


def tally_rebuild_all(*, progress: Callable[[int], None] | None = None) -> int:
    """Count everybody's log anew, a member in a transaction; how many members there are.

    Args:
        progress: Called with the number of members done so far, after each.
    """
    n_members = 0
    for member_id in get_user_model().objects.order_by("pk").values_list("pk", flat=True):
        tally_rebuild(member_ids=[member_id])
        n_members += 1
        if progress is not None:
            progress(n_members)
    return n_members


def _weeks_of(solve_ids: Collection[int]) -> Weeks:
    """The weeks that solves are in."""
    ids = list(solve_ids)
    weeks: set[When] = set()
    for start in range(0, len(ids), CHUNK):
        solves = Solve.objects.filter(pk__in=ids[start : start + CHUNK])
        weeks |= {when_of(at, number) for at, number in solves.values_list("done_at", "pk")}
    return frozenset(weeks)


def _count(member_id: int, weeks: Weeks | None) -> None:
    """Count the cells of some weeks anew, then those of their cases; of the whole log when None.

    A log of which nothing is counted yet is counted whole, and one whose times are taken from
    another instrument by now. The caller holds the log's lock.
    """
    if _renew_instrument(member_id):
        weeks = None
    if weeks is not None and not WeekTally.objects.filter(member=member_id).exists():
        weeks = None
    stored = Q(member=member_id) & _in_weeks(weeks)
    solves = count_weeks(_solve_rows(member_id, weeks))
    _renew(member_id, WeekTally, stored, {(k, *when): cell for (k, when), cell in solves.items()})
    cells = count_sightings(_sighting_rows(member_id, weeks))
    fresh = {(*key, *when): cell.values() for (key, when), cell in cells.items()}
    changed = _renew(member_id, CaseWeekTally, stored, fresh)
    cases = {CaseKey(*key[:3]) for key in changed}
    if weeks is None:
        cases |= {CaseKey(*key) for key in _stored_cases(member_id)}
    _count_cases(member_id, cases)


def _renew_instrument(member_id: int) -> bool:
    """See which instrument times are taken from now; return whether that is another."""
    instrument = main_instrument(newest_instruments(member_id=member_id))
    others = LogVersion.objects.filter(member=member_id).exclude(instrument=instrument)
    return bool(others.update(instrument=instrument))


def _stored_cases(member_id: int) -> set[tuple[str, str, str]]:
    """The cases that a member has a tally or mix-ups of."""
    tallies = CaseTally.objects.filter(member=member_id).values_list("kind", "stage", "case")
    mix_ups = MixUpTally.objects.filter(member=member_id).values_list("kind", "stage", "shown")
    weeks = CaseWeekTally.objects.filter(member=member_id).values_list("kind", "stage", "case")
    return {*tallies, *mix_ups, *weeks.distinct()}


def _count_cases(member_id: int, cases: Collection[CaseKey]) -> None:
    """Count the cells of whole cases anew from those of their weeks, and the coverage of their stages."""
    if not cases:
        return
    totals: dict[tuple[Any, ...], dict[str, Any]] = {}
    mix_ups: dict[tuple[Any, ...], dict[str, Any]] = {}
    for key, weeks in _weeks_of_cases(member_id, cases):
        totals[key] = case_total(weeks)
        for mistake, n in case_mistakes(weeks).items():
            mix_ups[*key, *mistake] = {"n": n}
    _renew(member_id, CaseTally, _of_cases("case", member_id, cases), totals)
    _renew(member_id, MixUpTally, _of_cases("shown", member_id, cases), mix_ups)
    stages = sorted({Stage(key.stage) for key in cases if key.kind == Kind.SOLVE})
    if stages:
        _count_coverage(member_id, stages)


def _weeks_of_cases(
    member_id: int, cases: Collection[CaseKey]
) -> Iterator[tuple[CaseKey, list[dict[str, Any]]]]:
    """The week cells of each case that has any, the undated first."""
    rows = (
        CaseWeekTally.objects.filter(_of_cases("case", member_id, cases))
        .order_by("kind", "stage", "case", F("week").asc(nulls_first=True), "part")
        .values(
            "kind", "stage", "case", *SUM_FIELDS, "looks", "looked_at_us", "slips", "last_met_at"
        )
    )
    for key, weeks in groupby(rows.iterator(), key=itemgetter("kind", "stage", "case")):
        yield CaseKey(*key), list(weeks)


def _of_cases(name: str, member_id: int, cases: Collection[CaseKey]) -> Q:
    """A member's tallies of some cases, which stand in the field ``name``."""
    by_stage: dict[tuple[str, str], list[str]] = {}
    for key in cases:
        by_stage.setdefault((key.kind, key.stage), []).append(key.case)
    of_stages = (
        Q(kind=kind, stage=stage, **{f"{name}__in": sorted(names)})
        for (kind, stage), names in by_stage.items()
    )
    return Q(member=member_id) & reduce(or_, of_stages)


def rates_changed(*, member_id: int) -> None:
    """Count what hangs on which rows rates are made of anew: call it where only that changed.

    The caller holds the log's lock.
    """
    log_changed(member_id=member_id)
    _count_coverage(member_id, list(Stage))


def _count_coverage(member_id: int, stages: Collection[Stage]) -> None:
    stored = Q(member=member_id, stage__in=stages)
    _renew(member_id, CoverageTally, stored, _coverage(member_id, stages))


def _coverage(member_id: int, stages: Collection[Stage]) -> dict[tuple[Any, ...], dict[str, Any]]:
    """The fields of stages' `CoverageTally`, from the newest looks of each case; none without one."""
    rows = rate_rows_of_log(member_id=member_id)
    looks = _looks(member_id, stages, rows)
    fresh: dict[tuple[Any, ...], dict[str, Any]] = {}
    for stage in stages:
        own = build_frame(LOOK_COLUMNS, (look for of, *look in looks if of == stage))
        covered = stage_coverage(own, chances=case_chances(stage), rows=rows)
        if covered is not None:
            names = ("covered", "low", "high", "not_covered", "never_met", "n_cases_met")
            fresh[(stage.value,)] = {name: covered[name] for name in names} | {
                "n_looks": covered["n"],
                "basis": rows.basis.value,
            }
    return fresh


def _looks(
    member_id: int, stages: Collection[Stage], rows: RateRows
) -> list[tuple[str, int, str, int, bool]]:
    """Stage and `LOOK_COLUMNS`: of a log with no row written by hand, its cases' newest looks do."""
    if not rows.left_out and not rows.weights:
        tallies = CaseTally.objects.filter(member=member_id, kind=Kind.SOLVE, stage__in=stages)
        looked = tallies.exclude(recent="").order_by("case").values_list("stage", "case", "recent")
        return [
            (stage, 0, case, 1, look == HIT) for stage, case, recent in looked for look in recent
        ]
    met = Sighting.objects.filter(member=member_id, stage__in=stages, solve__kind=Kind.SOLVE)
    met = met.order_by(F("solve__done_at").asc(nulls_first=True), "solve")
    return list(met.values_list("stage", "solve_id", "case", "n_looks", "is_one_look"))


_KEYS: dict[type[Model], tuple[str, ...]] = {
    WeekTally: ("kind", "week", "part"),
    CaseWeekTally: ("kind", "stage", "case", "week", "part"),
    CaseTally: ("kind", "stage", "case"),
    MixUpTally: ("kind", "stage", "shown", "done_stage", "done", "misfire_kind"),
    CoverageTally: ("stage",),
}
"""What tells one cell of a member from another."""


def _renew(
    member_id: int, model: type[Model], stored: Q, fresh: Mapping[tuple[Any, ...], dict[str, Any]]
) -> set[tuple[Any, ...]]:
    """Put fresh cells in the place of a member's stored ones; the keys of those that differ."""
    key_names, tallies = _KEYS[model], model._default_manager
    known = {"id", "member", *key_names}
    names = [field.name for field in model._meta.concrete_fields if field.name not in known]
    old: dict[tuple[Any, ...], tuple[int, dict[str, Any]]] = {}
    for row in tallies.filter(stored).values("pk", *key_names, *names).iterator():
        key = tuple(row[name] for name in key_names)
        old[key] = row["pk"], {name: _comparable(row[name]) for name in names}
    gone = {key for key, (_, values) in old.items() if fresh.get(key) != values}
    new = [key for key in fresh if key not in old or key in gone]
    pks = [old[key][0] for key in gone]
    for start in range(0, len(pks), CHUNK):
        tallies.filter(pk__in=pks[start : start + CHUNK]).delete()
    cells = (dict(zip(key_names, key, strict=True)) | fresh[key] for key in new)
    tallies.bulk_create((model(member_id=member_id, **cell) for cell in cells), batch_size=CHUNK)
    return gone | set(new)


def _comparable(value: object) -> object:
    """A stored value as it was given: PostgreSQL answers bytes as a view of them."""
    return bytes(value) if isinstance(value, memoryview) else value


def _runs(weeks: Weeks) -> list[tuple[date, date]]:
    """The first Monday of each run of weeks, and the Monday after its last."""
    runs: list[tuple[date, date]] = []
    for monday in sorted(when.week for when in weeks if when.week is not None):
        start = runs.pop()[0] if runs and runs[-1][1] == monday else monday
        runs.append((start, monday + timedelta(weeks=1)))
    return runs


def _parts(weeks: Weeks) -> list[int]:
    """The parts that solves without a date are in."""
    return sorted(when.part for when in weeks if when.week is None)


def _in_weeks(weeks: Weeks | None) -> Q:
    """Tallies of some weeks; of any when None."""
    if weeks is None:
        return Q()
    dated = Q(week__in=sorted(when.week for when in weeks if when.week is not None))
    return dated | Q(week=None, part__in=_parts(weeks))


def _moments_in(weeks: Weeks | None, name: str, number: str) -> Iterator[Q]:
    """Solves of some weeks, by their moment and their number: undated, then run by run.

    Args:
        weeks: Which; all when None.
        name: The field of the moment.
        number: The field of the number.
    """
    if weeks is None:
        yield Q()
        return
    for part in _parts(weeks):
        ids = (part * UNDATED, (part + 1) * UNDATED - 1)
        yield Q(**{f"{name}__isnull": True, f"{number}__range": ids})
    runs = _runs(weeks)
    for start in range(0, len(runs), RUNS):
        yield reduce(
            or_,
            (
                Q(**{f"{name}__gte": _midnight(first), f"{name}__lt": _midnight(end)})
                for first, end in runs[start : start + RUNS]
            ),
        )


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time(), UTC)


def _sighting_rows(member_id: int, weeks: Weeks | None) -> Iterator[Mapping[str, Any]]:
    """A member's sightings of some weeks as `count_sightings` takes them, the undated first."""
    for within in _moments_in(weeks, "solve__done_at", "solve__id"):
        sightings = (
            Sighting.objects.filter(within, solve__member=member_id)
            .annotate(told=sighting_looks())
            .order_by(F("solve__done_at").asc(nulls_first=True), "solve", "stage")
        )
        yield from sightings.values(
            *("solve_id", "solve__kind", "solve__done_at", "stage", "case", "n_looks"),
            *("is_one_look", "told"),
            **alike_times("solve__"),
        ).iterator()


def _solve_rows(member_id: int, weeks: Weeks | None) -> Iterator[Mapping[str, Any]]:
    """A member's solves of some weeks as `count_weeks` takes them."""
    for within in _moments_in(weeks, "done_at", "id"):
        solves = Solve.objects.filter(within, member=member_id).alias(
            oll=FilteredRelation("sightings", condition=Q(sightings__stage=Stage.OLL)),
            pll=FilteredRelation("sightings", condition=Q(sightings__stage=Stage.PLL)),
        )
        yield from solves.values(
            "id",
            "kind",
            "done_at",
            "status",
            oll_recognition_ms=alike_time("oll__recognition_ms"),
            oll_execution_ms=alike_time("oll__execution_ms"),
            pll_recognition_ms=alike_time("pll__recognition_ms"),
            pll_execution_ms=alike_time("pll__execution_ms"),
        ).iterator()
