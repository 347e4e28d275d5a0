"""Tallies, counted anew from a member's sightings. Call inside the transaction that changes them."""

from collections.abc import Callable, Collection, Iterable, Mapping
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
from logs.analytics.standing import RECENT
from logs.models import CaseTally, CoverageTally, MixUpTally, Sighting
from logs.services.case_counts import CaseCount, CaseKey, count_cases
from logs.services.locks import lock_log

CHUNK = 500


@transaction.atomic
def tally_rebuild(*, member_ids: Iterable[int]) -> None:
    """Count the sightings of these members anew; one with no sighting has no tally."""
    for member_id in sorted(set(member_ids)):
        lock_log(member_id)
        for model in (CaseTally, MixUpTally, CoverageTally):
            model._default_manager.filter(member=member_id).delete()
        counts = count_cases(_sightings(member_id))
        CaseTally.objects.bulk_create(_case_tallies(member_id, counts), batch_size=CHUNK)
        MixUpTally.objects.bulk_create(_mix_up_tallies(member_id, counts), batch_size=CHUNK)
        CoverageTally.objects.bulk_create(_coverage_tallies(member_id, counts))


@transaction.atomic
def tally_add(*, member_id: int, solve_ids: Collection[int]) -> None:
    """Count solves that are new in a member's log, with their sightings.

    Call it once for each chunk of an ingest, in the chunk's transaction and after its sightings are
    written, with the ids of the solves that were taken (those doubled are counted already), those
    without a sighting too. It costs what these solves cost, however long the log is, and leaves the
    tallies as a recount would. To change sightings that are counted: `tally_remove` of their solves,
    the change, `tally_add` of the same ids, all in one transaction.
    """
    if solve_ids:
        tally_rebuild(member_ids=[member_id])


@transaction.atomic
def tally_remove(*, member_id: int, solve_ids: Collection[int]) -> None:
    """Take solves out of a member's tallies: call it before their sightings are deleted or changed.

    In one transaction with the change, and with `tally_add` if the solves stay.
    """
    lock_log(member_id)


def tally_rebuild_all(*, progress: Callable[[int], None] | None = None) -> int:
    """Count everybody's sightings anew, a member in a transaction; how many members there are.

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
            "looks",
        )
        .iterator()
    )


def _case_tallies(member_id: int, counts: Mapping[CaseKey, CaseCount]) -> list[CaseTally]:
    return [
        CaseTally(member_id=member_id, **key._asdict(), **count.values())
        for key, count in sorted(counts.items(), key=lambda item: item[0])
    ]


def _mix_up_tallies(member_id: int, counts: Mapping[CaseKey, CaseCount]) -> list[MixUpTally]:
    return [
        MixUpTally(
            member_id=member_id,
            kind=key.kind,
            stage=key.stage,
            shown=key.case,
            done_stage=mistake.done_stage,
            done=mistake.done,
            misfire_kind=mistake.misfire_kind,
            n=n,
        )
        for key, count in sorted(counts.items(), key=lambda item: item[0])
        for mistake, n in sorted(count.mistakes().items())
    ]


def _coverage_tallies(member_id: int, counts: Mapping[CaseKey, CaseCount]) -> list[CoverageTally]:
    """One for each stage of which a case was looked at in a solve."""
    tallies = []
    for stage in Stage:
        looks = {
            key.case: count.looks[-RECENT:]
            for key, count in counts.items()
            if key.kind == Kind.SOLVE and key.stage == stage and count.looks
        }
        if not looks:
            continue
        frame = pd.DataFrame(
            {"n_hits": map(sum, looks.values()), "n": map(len, looks.values())},
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
