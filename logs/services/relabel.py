"""All labels, made anew from the stored rows."""

from collections import defaultdict
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from cubecore.book import Book
from cubecore.errors import CubeError
from cubecore.replay import Replay, replay
from logs.models import Sighting, Solve
from logs.selectors.book import books_of_members
from logs.services.labels import (
    LABEL_FIELDS,
    build_sightings,
    sighting_labels,
    solve_labels,
    stored_row,
)
from logs.services.tallies import tally_add, tally_remove

BATCH = 1_000


@dataclass(frozen=True, slots=True)
class Relabelled:
    """What relabelling found.

    Attributes:
        n_solves: Solves looked at.
        n_changed: Those of which a label differs now, the versions aside.
        refused: Ids of solves that the engine no longer takes; they keep their labels.
    """

    n_solves: int = 0
    n_changed: int = 0
    refused: tuple[int, ...] = ()

    def __add__(self, other: "Relabelled") -> "Relabelled":
        return Relabelled(
            self.n_solves + other.n_solves,
            self.n_changed + other.n_changed,
            self.refused + other.refused,
        )


def solve_relabel(
    *,
    book: Book | None = None,
    member_ids: Collection[int] | None = None,
    progress: Callable[[Relabelled], None] | None = None,
) -> Relabelled:
    """Make all labels anew, a batch in a transaction, so that members can go on meanwhile.

    It can be stopped and begun again at any time: labels depend on nothing but their row.

    Args:
        book: The algorithms to name looks by; each member's own book when None.
        member_ids: Whose solves; everybody's when None.
        progress: Called after each batch with the sum so far.
    """
    solves = Solve.objects.order_by("pk")
    if member_ids is not None:
        solves = solves.filter(member__in=member_ids)
    done = Relabelled()
    last = 0
    while ids := list(solves.filter(pk__gt=last).values_list("pk", flat=True)[:BATCH]):
        done += relabel_batch(ids, book)
        last = ids[-1]
        if progress is not None:
            progress(done)
    return done


@transaction.atomic
def relabel_batch(ids: Sequence[int], book: Book | None = None) -> Relabelled:
    """Make the labels of the solves ``ids`` anew, all or none; by each member's book when None."""
    solves = list(
        Solve.objects.select_for_update(of=("self",))
        .filter(pk__in=ids)
        .order_by("pk")
        .prefetch_related("sightings")
    )
    books = _books(solves, book)
    stale: list[Solve] = []
    resighted: list[tuple[Solve, Replay]] = []
    refused: list[int] = []
    touched: dict[int, list[int]] = defaultdict(list)
    n_changed = 0
    for solve in solves:
        own = books[solve.member_id]
        try:
            result = replay(stored_row(solve), own)
        except CubeError:
            refused.append(solve.pk)
            continue
        is_resighted = _sightings_of(solve) != sighting_labels(result)
        changed = _update(solve, solve_labels(result, own))
        if changed:
            stale.append(solve)
        if is_resighted:
            resighted.append((solve, result))
        if is_resighted or not changed <= _VERSIONS:
            n_changed += 1
            touched[solve.member_id].append(solve.pk)
    for member_id, ids in sorted(touched.items()):
        tally_remove(member_id=member_id, solve_ids=ids)
    _write(stale, resighted)
    for member_id, ids in sorted(touched.items()):
        tally_add(member_id=member_id, solve_ids=ids)
    return Relabelled(len(solves), n_changed, tuple(refused))


def _books(solves: Sequence[Solve], book: Book | None) -> dict[int, Book]:
    """The book for each member of ``solves``: ``book``, or else their own."""
    members = {solve.member_id for solve in solves}
    if book is not None:
        return dict.fromkeys(members, book)
    return books_of_members(member_ids=members)


_VERSIONS = {"engine_version", "book_version"}


def _write(stale: Sequence[Solve], resighted: Sequence[tuple[Solve, Replay]]) -> None:
    Solve.objects.bulk_update(stale, LABEL_FIELDS, batch_size=100)
    Sighting.objects.filter(solve__in=[solve for solve, _ in resighted]).delete()
    sightings = [s for solve, result in resighted for s in build_sightings(solve, result)]
    Sighting.objects.bulk_create(sightings, batch_size=BATCH // 2)


def _update(solve: Solve, labels: dict[str, Any]) -> set[str]:
    """Set the labels on ``solve``; the names of those that differ."""
    changed = {name for name, value in labels.items() if getattr(solve, name) != value}
    for name in changed:
        setattr(solve, name, labels[name])
    return changed


def _sightings_of(solve: Solve) -> list[dict[str, Any]]:
    """The stored sightings as `sighting_labels` gives them."""
    stored = sorted(solve.sightings.all(), key=lambda sighting: sighting.stage)
    return [{name: getattr(one, name) for name in _SIGHTING_FIELDS} for one in stored]


_SIGHTING_FIELDS = tuple(
    field.attname
    for field in Sighting._meta.concrete_fields
    if field.name not in {"id", "solve", "member"}
)
