"""Tallies, counted anew from a member's sightings. Call inside the transaction that changes them."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from math import fsum, log
from typing import Any

import pandas as pd
from django.contrib.auth import get_user_model
from django.db import transaction
from django.db.models import F

from cubecore.cases import Stage
from cubecore.replay import Kind
from logs.analytics.case_chances import case_chances
from logs.analytics.coverage import coverage
from logs.analytics.one_look import rate_prior
from logs.analytics.standing import HIT, MISS, RECENT
from logs.models import CaseTally, CoverageTally, MixUpTally, Sighting
from logs.services.locks import lock_log

CHUNK = 500
CaseKey = tuple[str, str, str]
"""Kind, stage, case."""


@dataclass(slots=True)
class _Count:
    """One case while it is counted."""

    n: int = 0
    looks: list[str] = field(default_factory=list)
    recognition: list[float] = field(default_factory=list)
    execution: list[float] = field(default_factory=list)
    last_met_at: datetime | None = None

    def add(self, row: Mapping[str, Any]) -> None:
        self.n += 1
        self.last_met_at = row["solve__done_at"] or self.last_met_at
        if not row["n_looks"]:
            return
        self.looks.append(HIT if row["is_one_look"] else MISS)
        if row["is_one_look"] and row["recognition_ms"] and row["execution_ms"]:
            self.recognition.append(log(row["recognition_ms"]))
            self.execution.append(log(row["execution_ms"]))

    def values(self) -> dict[str, Any]:
        """The counts as the table holds them; exact sums, whatever the order of the times."""
        return {
            "n": self.n,
            "n_looked": len(self.looks),
            "n_one_look": self.looks.count(HIT),
            "n_timed": len(self.recognition),
            "recognition_log_sum": fsum(self.recognition),
            "recognition_log_squares": fsum(value * value for value in self.recognition),
            "execution_log_sum": fsum(self.execution),
            "execution_log_squares": fsum(value * value for value in self.execution),
            "recent": "".join(self.looks[-RECENT:]),
            "last_met_at": self.last_met_at,
        }


@transaction.atomic
def tally_rebuild(*, member_ids: Iterable[int]) -> None:
    """Count the sightings of these members anew; one with no sighting has no tally."""
    for member_id in sorted(set(member_ids)):
        _rebuild(member_id)


def tally_rebuild_all(*, progress: Callable[[int], None] | None = None) -> int:
    """Count everybody's sightings anew, a member in a transaction; how many members there are.

    Args:
        progress: Called with the number of members done so far, after each.
    """
    ids = get_user_model().objects.order_by("pk").values_list("pk", flat=True)
    n_members = 0
    for member_id in ids:
        tally_rebuild(member_ids=[member_id])
        n_members += 1
        if progress is not None:
            progress(n_members)
    return n_members


def _rebuild(member_id: int) -> None:
    lock_log(member_id)
    counts: dict[CaseKey, _Count] = {}
    mix_ups: Counter[tuple[str, str, str, str, str]] = Counter()
    for row in _sightings(member_id):
        key = (row["solve__kind"], row["stage"], row["case"])
        counts.setdefault(key, _Count()).add(row)
        if row["misfire_kind"]:
            mix_ups[*key, row["misfire_case"], row["misfire_kind"]] += 1
    CaseTally.objects.filter(member=member_id).delete()
    MixUpTally.objects.filter(member=member_id).delete()
    CoverageTally.objects.filter(member=member_id).delete()
    CaseTally.objects.bulk_create(
        [
            CaseTally(member_id=member_id, kind=kind, stage=stage, case=case, **count.values())
            for (kind, stage, case), count in sorted(counts.items())
        ],
        batch_size=CHUNK,
    )
    MixUpTally.objects.bulk_create(
        [
            MixUpTally(
                member_id=member_id,
                kind=kind,
                stage=stage,
                shown=shown,
                done=done,
                misfire_kind=misfire_kind,
                n=n,
            )
            for (kind, stage, shown, done, misfire_kind), n in sorted(mix_ups.items())
        ],
        batch_size=CHUNK,
    )
    CoverageTally.objects.bulk_create(_coverages(member_id, counts))


def _coverages(member_id: int, counts: dict[CaseKey, _Count]) -> list[CoverageTally]:
    """One for each stage of which a case was looked at in a solve."""
    tallies = []
    for stage in Stage:
        looks = {
            case: count.looks[-RECENT:]
            for (kind, of, case), count in counts.items()
            if kind == Kind.SOLVE and of == stage and count.looks
        }
        if not looks:
            continue
        frame = pd.DataFrame(
            {"n_hits": [one.count(HIT) for one in looks.values()], "n": map(len, looks.values())},
            index=pd.Index(list(looks)),
        )
        found = coverage(frame, chances=case_chances(stage), prior=rate_prior(frame))
        tallies.append(
            CoverageTally(
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
        )
    return tallies


def _sightings(member_id: int) -> Iterable[Mapping[str, Any]]:
    """The member's sightings in the order of time, undated ones first, as all frames have them."""
    return (
        Sighting.objects.filter(member=member_id)
        .order_by(F("solve__done_at").asc(nulls_first=True), "solve", "stage")
        .values(
            "solve__kind",
            "solve__done_at",
            "stage",
            "case",
            "n_looks",
            "is_one_look",
            "recognition_ms",
            "execution_ms",
            "misfire_kind",
            "misfire_case",
        )
        .iterator()
    )
