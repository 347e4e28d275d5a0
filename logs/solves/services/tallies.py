"""How often a log changed: what figures kept about it are told apart by."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager

from django.contrib.auth import get_user_model
from django.db import IntegrityError, transaction
from django.db.models import F

from logs.people.locks import lock_log
from logs.solves.models.solves import Solve
from logs.solves.models.tallies import (
    CaseTally,
    CaseWeekTally,
    CoverageTally,
    LogVersion,
    MixUpTally,
    WeekTally,
)
from logs.solves.services.tally_changes import change_log, count_log


def log_changed(*, member_id: int) -> None:
    """Raise the version of a member's log.

    Call it in the transaction that adds, removes or relabels solves, under the log's lock;
    `logs.solves.services.tallies` does so for all of its callers.
    """
    raised = LogVersion.objects.filter(member=member_id).update(version=F("version") + 1)
    if not raised:
        LogVersion.objects.create(member_id=member_id)


RECOUNT_UP_TO = 10_000


RECOUNT_FOR_EACH = 100
"""Where sightings of ``n`` solves change, a log of at most ``RECOUNT_FOR_EACH * n`` solves, and of at
most ``RECOUNT_UP_TO``, is counted anew: below that it is quicker (tests/bench/test_relabel.py)."""


_MODELS = (CaseTally, CaseWeekTally, MixUpTally, CoverageTally, WeekTally)


@transaction.atomic
def tally_add(*, member_id: int, solve_ids: Collection[int]) -> None:
    """Count solves that are new in a member's log, with their sightings.

    Call it once for each chunk of an ingest, in the chunk's transaction and after its sightings are
    written, with the ids of the solves that were taken (those doubled are counted already), those
    without a sighting too. It costs what these solves cost, however long the log is, and leaves the
    tallies as a recount would. To change sightings that are counted: `tallies_following`.

    A member who has no tally yet is counted whole.
    """
    if not solve_ids:
        return
    lock_log(member_id)
    log_changed(member_id=member_id)
    if WeekTally.objects.filter(member=member_id).exists():
        change_log(member_id, solve_ids, sign=1)
    else:
        _rebuild(member_id)


@transaction.atomic
def tally_remove(*, member_id: int, solve_ids: Collection[int]) -> None:
    """Take solves out of a member's tallies: call it before their sightings are deleted or changed.

    In one transaction with the change, and with `tally_add` if the solves stay, before any other
    solves are taken out. Where the tallies do
    not hold what is to be taken out (sightings were changed behind their back), all of the member's
    are thrown away, and the next `tally_add` counts the member whole.
    """
    if not solve_ids:
        return
    lock_log(member_id)
    log_changed(member_id=member_id)
    if not WeekTally.objects.filter(member=member_id).exists():
        _rebuild(member_id)
    try:
        with transaction.atomic():
            change_log(member_id, solve_ids, sign=-1)
    except (IntegrityError, ValueError):
        _forget(member_id)


@contextmanager
def tallies_following(ids_by_member: Mapping[int, Collection[int]]) -> Iterator[None]:
    """Within it the sightings of these solves are changed; the tallies follow at its end.

    Args:
        ids_by_member: The solves whose sightings change, by member.
    """
    with transaction.atomic():
        members = sorted(member for member, ids in ids_by_member.items() if ids)
        recounted = {member for member in members if _is_short(member, len(ids_by_member[member]))}
        for member in members:
            lock_log(member)
            if member not in recounted:
                tally_remove(member_id=member, solve_ids=ids_by_member[member])
        yield
        tally_rebuild(member_ids=recounted)
        for member in members:
            if member not in recounted:
                tally_add(member_id=member, solve_ids=ids_by_member[member])


def _is_short(member_id: int, n_changed: int) -> bool:
    """Whether counting the log anew is quicker than changing so many of its solves."""
    n_solves = Solve.objects.filter(member=member_id).count()
    return n_solves <= min(RECOUNT_UP_TO, RECOUNT_FOR_EACH * n_changed)


@transaction.atomic
def tally_rebuild(*, member_ids: Iterable[int]) -> None:
    """Count the logs of these members anew; one with no solve has no tally."""
    for member_id in sorted(set(member_ids)):
        lock_log(member_id)
        log_changed(member_id=member_id)
        _rebuild(member_id)


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


def _rebuild(member_id: int) -> None:
    _forget(member_id)
    count_log(member_id)


def _forget(member_id: int) -> None:
    for model in _MODELS:
        model._default_manager.filter(member=member_id).delete()
