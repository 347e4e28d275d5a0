"""What solves add to a member's tallies, or take from them. The caller holds the log's lock."""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeVar

import pandas as pd
from django.db.models import Model

from cubecore.cases import Stage
from cubecore.replay import Kind
from logs.cases.facts import case_chances
from logs.solves.figures.coverage import coverage
from logs.solves.figures.mistakes import Mistake
from logs.solves.figures.standing import HIT, RECENT, rate_prior
from logs.solves.models.tallies import (
    CaseTally,
    CaseWeekTally,
    CoverageTally,
    MixUpTally,
    WeekTally,
)
from logs.solves.services.case_counts import (
    SUM_FIELDS,
    CaseKey,
    Counted,
    Look,
    Place,
    as_text,
    count_sightings,
    mistakes,
    pack_places,
    read_places,
)
from logs.solves.services.tally_rows import (
    count_weeks,
    last_met_at,
    looks_around,
    newest_looks,
    sighting_rows,
    solve_rows,
)
from logs.stats.sketch import Sketch, read_sketch

CHUNK = 500


Tally = TypeVar("Tally", bound=Model)


Tallies = Mapping[CaseKey, CaseTally]


Mistakes = Mapping[CaseKey, Counter[Mistake]]


@dataclass(frozen=True, slots=True)
class _Change:
    """Solves that come to a member's tallies (sign 1) or leave them (-1)."""

    member_id: int
    ids: frozenset[int]
    sign: int


def count_log(member_id: int) -> None:
    """Write the tallies of a member who has none, from all their sightings."""
    counted = count_sightings(sighting_rows(member_id))
    made = {key: mistakes(looks) for key, looks in counted.looks.items()}
    change = _Change(member_id, frozenset(), 1)
    _write(change, counted, {}, made, solve_rows(member_id))


def change_log(member_id: int, solve_ids: Collection[int], *, sign: int) -> None:
    """Add what the stored sightings of these solves come to (sign 1), or take it out (-1)."""
    change = _Change(member_id, frozenset(solve_ids), sign)
    counted = count_sightings(sighting_rows(member_id, change.ids))
    stored = {
        CaseKey(tally.kind, tally.stage, tally.case): tally
        for tally in CaseTally.objects.filter(member=member_id)
    }
    made = {
        key: _mistakes_changed(change, key, looks, stored.get(key))
        for key, looks in counted.looks.items()
    }
    _write(change, counted, stored, made, solve_rows(member_id, change.ids))


def _write(
    change: _Change,
    counted: Counted,
    stored: Tallies,
    made: Mistakes,
    solves: Iterable[Mapping[str, Any]],
) -> None:
    _change_cases(change, counted, stored)
    _change_case_weeks(change, counted)
    _change_weeks(change, solves)
    _change_mix_ups(change, made)
    looked = {key.stage for key in counted.looks if key.kind == Kind.SOLVE}
    _renew_coverage(change.member_id, [stage for stage in Stage if stage in looked])


def _mistakes_changed(
    change: _Change, key: CaseKey, looks: Sequence[Look], stored: CaseTally | None
) -> Counter[Mistake]:
    """The mistakes that these looks bring, and bring about or undo in the looks after them.

    What was known before a look hangs on the ``RECENT`` looks before it. So looks in the midst of
    the log change what the ``RECENT`` looks after them count as, and no others.
    """
    if change.sign > 0:
        recent = _recent(stored)
        if not recent or recent[-1][0] < looks[0].place:
            return mistakes(looks, before=recent)
    before, around = looks_around(change.member_id, key, looks[0].place, looks[-1].place)
    others = [look for look in around if look.place.solve_id not in change.ids]
    with_them, without = (mistakes(some, before=before) for some in (around, others))
    with_them.subtract(without)
    return with_them


def _change_cases(change: _Change, counted: Counted, stored: Tallies) -> None:
    totals = counted.totals()
    fresh = []
    for key, sums in totals.items():
        old = stored.get(key)
        tally = CaseTally(member_id=change.member_id, **key._asdict())
        if not _set_sums(tally, old, sums, change.sign):
            continue
        recent = _recent_changed(change, key, counted.looks.get(key, []), old)
        tally.recent = as_text(is_hit for _, is_hit in recent)
        tally.recent_places = pack_places(place for place, _ in recent)
        met_at = counted.last_met_at.get(key)
        tally.last_met_at = old.last_met_at if old else None
        if change.sign > 0:
            tally.last_met_at = max(filter(None, (met_at, tally.last_met_at)), default=None)
        elif met_at == tally.last_met_at:
            tally.last_met_at = last_met_at(change.member_id, key, without=change.ids)
        fresh.append(tally)
    _replace(CaseTally, [stored[key] for key in totals if key in stored], fresh)


def _recent_changed(
    change: _Change, key: CaseKey, looks: Sequence[Look], old: CaseTally | None
) -> list[tuple[Place, bool]]:
    """The newest looks at a case after the change."""
    recent = _recent(old)
    its = [(look.place, look.is_hit) for look in looks]
    if change.sign > 0:
        return sorted([*recent, *its])[-RECENT:]
    if not set(recent) & set(its):
        return recent
    newest = newest_looks(change.member_id, key, without=change.ids)
    return [(look.place, look.is_hit) for look in newest]


def _recent(tally: CaseTally | None) -> list[tuple[Place, bool]]:
    if tally is None:
        return []
    hits = (look == HIT for look in tally.recent)
    return list(zip(read_places(bytes(tally.recent_places)), hits, strict=True))


def _change_case_weeks(change: _Change, counted: Counted) -> None:
    weeks, undated = _weeks_of(week for _, week in counted.weeks)
    own = CaseWeekTally.objects.filter(member=change.member_id)
    stored = {
        (CaseKey(tally.kind, tally.stage, tally.case), tally.week): tally
        for tally in (*own.filter(week__in=weeks), *(own.filter(week=None) if undated else ()))
    }
    fresh = []
    for (key, week), cell in counted.weeks.items():
        old = stored.get((key, week))
        tally = CaseWeekTally(member_id=change.member_id, week=week, **key._asdict())
        if _set_sums(tally, old, cell.sums, change.sign):
            for name in ("recognition", "execution"):
                _set_sketch(tally, old, name, getattr(cell, name), change.sign)
            fresh.append(tally)
    _replace(CaseWeekTally, [stored[cell] for cell in counted.weeks if cell in stored], fresh)


def _change_weeks(change: _Change, solves: Iterable[Mapping[str, Any]]) -> None:
    counted = count_weeks(solves)
    weeks, undated = _weeks_of(week for _, week in counted)
    own = WeekTally.objects.filter(member=change.member_id)
    stored = {
        (tally.kind, tally.week): tally
        for tally in (*own.filter(week__in=weeks), *(own.filter(week=None) if undated else ()))
    }
    fresh = []
    for (kind, week), cell in counted.items():
        old = stored.get((kind, week))
        tally = WeekTally(member_id=change.member_id, kind=kind, week=week)
        tally.n = (old.n if old else 0) + change.sign * cell.n
        tally.n_timed = (old.n_timed if old else 0) + change.sign * cell.last_layer.total()
        so_far = old.last_layer_ms_sum if old else 0
        tally.last_layer_ms_sum = so_far + change.sign * cell.last_layer_ms_sum
        if tally.n:
            _set_sketch(tally, old, "last_layer", cell.last_layer, change.sign)
            fresh.append(tally)
    _replace(WeekTally, [stored[cell] for cell in counted if cell in stored], fresh)


def _weeks_of(weeks: Iterable[date | None]) -> tuple[set[date], bool]:
    """The Mondays, and whether there are solves without a date."""
    found = set(weeks)
    return {week for week in found if week is not None}, None in found


def _change_mix_ups(change: _Change, made: Mistakes) -> None:
    changes = {
        (key, mistake): change.sign * n
        for key, counts in made.items()
        for mistake, n in counts.items()
        if n
    }
    if not changes:
        return
    stored = {
        (
            CaseKey(tally.kind, tally.stage, tally.shown),
            Mistake(tally.done_stage, tally.done, tally.misfire_kind),
        ): tally
        for tally in MixUpTally.objects.filter(member=change.member_id)
    }
    fresh = [
        MixUpTally(
            member_id=change.member_id,
            kind=key.kind,
            stage=key.stage,
            shown=key.case,
            n=n + (stored[key, mistake].n if (key, mistake) in stored else 0),
            **mistake._asdict(),
        )
        for (key, mistake), n in changes.items()
    ]
    old = [stored[one] for one in changes if one in stored]
    _replace(MixUpTally, old, [tally for tally in fresh if tally.n])


def _set_sums(
    tally: CaseTally | CaseWeekTally,
    old: CaseTally | CaseWeekTally | None,
    sums: Iterable[float],
    sign: int,
) -> bool:
    """Set the sums of the changed tally; whether anything is left in it."""
    for name, value in zip(SUM_FIELDS, sums, strict=True):
        setattr(tally, name, (getattr(old, name) if old else 0) + sign * value)
    return bool(tally.n)


def _set_sketch(
    tally: CaseWeekTally | WeekTally,
    old: CaseWeekTally | WeekTally | None,
    name: str,
    counts: Counter[int],
    sign: int,
) -> None:
    before = read_sketch(bytes(getattr(old, name)) if old else b"")
    its = Sketch(dict(counts))
    setattr(tally, name, (before + its if sign > 0 else before - its).to_bytes())


def _replace(model: type[Tally], old: Iterable[Tally], fresh: Sequence[Tally]) -> None:
    """Put changed tallies in the place of the old ones."""
    tallies = model._default_manager
    tallies.filter(pk__in=[tally.pk for tally in old]).delete()
    tallies.bulk_create(fresh, batch_size=CHUNK)


def _renew_coverage(member_id: int, stages: Iterable[Stage]) -> None:
    """Make the coverage of these stages anew from the newest looks of each case."""
    for stage in stages:
        CoverageTally.objects.filter(member=member_id, stage=stage).delete()
        looked = CaseTally.objects.filter(member=member_id, kind=Kind.SOLVE, stage=stage)
        looks = dict(looked.exclude(recent="").order_by("case").values_list("case", "recent"))
        if not looks:
            continue
        frame = pd.DataFrame(
            {
                "n_hits": [recent.count(HIT) for recent in looks.values()],
                "n": [len(recent) for recent in looks.values()],
            },
            index=pd.Index(list(looks)),
        )
        found = coverage(frame, chances=case_chances(stage), prior=rate_prior(frame))
        CoverageTally.objects.create(
            member_id=member_id,
            stage=stage.value,
            n_looks=found.n,
            n_cases_met=found.n_cases_met,
            covered=found.covered,
            low=found.low,
            high=found.high,
            not_covered=found.not_covered,
            never_met=found.never_met,
        )
