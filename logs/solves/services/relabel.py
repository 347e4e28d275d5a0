"""Many rows changed by one statement."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from operator import itemgetter
from typing import Any

from django.db import connection, models, transaction

from cubecore.batch import replay_batch
from cubecore.book import Book
from cubecore.compact import CompactRow, compact_row
from cubecore.errors import CubeError
from cubecore.replay import Replay
from logs.algorithms.selectors import books_of_members
from logs.people.locks import lock_log
from logs.solves.models.solves import Sighting, Solve
from logs.solves.services.labels import (
    LABEL_FIELDS,
    TEXT_FIELDS,
    TURN_FIELDS,
    build_sightings,
    sighting_labels,
    solve_labels,
    stored_row,
    stored_turns,
    turn_fields,
)
from logs.solves.services.tallies import tallies_following

ROWS = 500
"""Rows in a statement: with a dozen fields well below the 32,766 values that SQLite takes."""


def update_rows(rows: Sequence[models.Model], names: Sequence[str]) -> None:
    """Write the fields ``names`` of stored rows of one model: a join with the values.

    Django's ``bulk_update`` asks for every row and field in turn which value is meant, so that its
    cost grows with the square of the rows in a statement; tests/bench measures both.
    """
    for start in range(0, len(rows), ROWS):
        _update(rows[start : start + ROWS], names)


def _update(rows: Sequence[models.Model], names: Sequence[str]) -> None:
    meta = rows[0]._meta
    fields = [field for field in meta.concrete_fields if field.name in names]
    quote = connection.ops.quote_name
    columns = [quote(_column(field)) for field in fields]
    changes = [
        f"{column} = CAST(given.{column} AS {field.cast_db_type(connection)})"
        for column, field in zip(columns, fields, strict=True)
    ]
    row_of_marks = f"({', '.join(['%s'] * (len(columns) + 1))})"
    statement = (
        f"WITH given (pk, {', '.join(columns)}) AS"  # noqa: S608 - names of our own columns alone
        f" (VALUES {', '.join([row_of_marks] * len(rows))})"
        f" UPDATE {quote(meta.db_table)} SET {', '.join(changes)} FROM given"
        f" WHERE {quote(meta.db_table)}.{quote(_column(meta.pk))} = given.pk"
    )
    with connection.cursor() as cursor:
        cursor.execute(statement, list(chain.from_iterable(_values(rows, fields))))


def _column(field: "models.Field[Any, Any]") -> str:
    assert field.column is not None
    return field.column


def _values(
    rows: Sequence[models.Model], fields: "Sequence[models.Field[Any, Any]]"
) -> Iterator[list[Any]]:
    for row in rows:
        yield [
            row.pk,
            *(field.get_db_prep_save(getattr(row, field.attname), connection) for field in fields),
        ]


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
    """Make the labels of the solves ``ids`` anew, all or none; by each member's book when None.

    No text is read, but for solves older than their turns' own fields, which are filled.
    """
    # The logs first, as uploads and erasure do, so that none of them waits for another for ever.
    for member_id in sorted(set(Solve.objects.filter(pk__in=ids).values_list("member", flat=True))):
        lock_log(member_id)
    solves = list(
        Solve.objects.filter(pk__in=ids)
        .order_by("pk")
        .only("member_id", "penalty", *TURN_FIELDS, *LABEL_FIELDS)
    )
    refused = _fill_turns([solve for solve in solves if solve.scramble_turns is None])
    sightings = _stored_sightings(ids)
    stale: dict[frozenset[str], list[Solve]] = defaultdict(list)
    resighted: list[tuple[Solve, Replay]] = []
    touched: dict[int, list[int]] = defaultdict(list)
    for solve, own, result in _replays(solves, book):
        if isinstance(result, CubeError):
            refused.append(solve.pk)
            continue
        is_resighted = sightings.get(solve.pk, []) != sighting_labels(result)
        changed = _relabel_update(solve, solve_labels(result, own))
        if changed:
            stale[frozenset(changed)].append(solve)
        if is_resighted:
            resighted.append((solve, result))
        if is_resighted or not changed <= _VERSIONS:
            touched[solve.member_id].append(solve.pk)
    with tallies_following(touched):
        _write(stale, resighted)
    return Relabelled(len(solves), sum(map(len, touched.values())), tuple(sorted(refused)))


def _fill_turns(solves: Sequence[Solve]) -> list[int]:
    """Read the turns of solves that have their texts alone; the ids of those that cannot be."""
    unread = []
    by_id = {solve.pk: solve for solve in solves}
    filled = []
    for texts in Solve.objects.filter(pk__in=by_id).only(*TEXT_FIELDS):
        solve = by_id[texts.pk]
        try:
            compact = compact_row(stored_row(texts))
        except CubeError:
            unread.append(solve.pk)
            continue
        for name, value in turn_fields(compact).items():
            setattr(solve, name, value)
        filled.append(solve)
    update_rows(filled, TURN_FIELDS)
    return unread


def _replays(
    solves: Sequence[Solve], book: Book | None
) -> Iterator[tuple[Solve, Book, Replay | CubeError]]:
    """Each solve that can be replayed, with the book it is read by: ``book``, or its member's."""
    members = {solve.member_id for solve in solves}
    books = (
        dict.fromkeys(members, book) if book is not None else books_of_members(member_ids=members)
    )
    by_book: dict[Book, list[tuple[Solve, CompactRow]]] = defaultdict(list)
    for solve in solves:
        if (compact := stored_turns(solve)) is not None:
            by_book[books[solve.member_id]].append((solve, compact))
    for own, ones in by_book.items():
        results = replay_batch([compact for _, compact in ones], own)
        for (solve, _), result in zip(ones, results, strict=True):
            yield solve, own, result


_VERSIONS = {"engine_version", "book_version"}


def _write(
    stale: Mapping[frozenset[str], Sequence[Solve]], resighted: Sequence[tuple[Solve, Replay]]
) -> None:
    for names, solves in stale.items():
        update_rows(solves, sorted(names))
    Sighting.objects.filter(solve__in=[solve for solve, _ in resighted]).delete()
    sightings = [s for solve, result in resighted for s in build_sightings(solve, result)]
    Sighting.objects.bulk_create(sightings, batch_size=BATCH // 2)


def _relabel_update(solve: Solve, labels: dict[str, Any]) -> set[str]:
    """Set the labels on ``solve``; the names of those that differ."""
    changed = {name for name, value in labels.items() if getattr(solve, name) != value}
    for name in changed:
        setattr(solve, name, labels[name])
    return changed


def _stored_sightings(ids: Sequence[int]) -> dict[int, list[dict[str, Any]]]:
    """The stored sightings of solves, as `sighting_labels` gives them."""
    stored: dict[int, list[dict[str, Any]]] = defaultdict(list)
    for sighting in Sighting.objects.filter(solve__in=ids).values("solve_id", *_SIGHTING_FIELDS):
        stored[sighting.pop("solve_id")].append(sighting)
    for of_solve in stored.values():
        of_solve.sort(key=itemgetter("stage"))
    return stored


_SIGHTING_FIELDS = tuple(
    field.attname
    for field in Sighting._meta.concrete_fields
    if field.name not in {"id", "solve", "member"}
)
