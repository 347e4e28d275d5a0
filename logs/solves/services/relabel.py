"""Many rows changed by one statement.

Labels made anew behind the request, by ranges of solves that workers share.
"""

import logging
import time
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import chain
from operator import itemgetter
from typing import Any

from django.db import connection, models, transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from clubsite.accounts.models import User
from cubecore.batch import replay_batch
from cubecore.book import Book
from cubecore.compact import CompactRow, compact_row
from cubecore.errors import CubeError
from cubecore.results import Replay
from cubecore.rows import parse_mark_ms
from logs.algorithms.selectors import book_of_member, books_of_members
from logs.jobs.models import ACTIVE, Job, JobKind, JobStatus
from logs.jobs.selectors import is_being_relabelled
from logs.jobs.services import (
    PAUSE_S,
    Lease,
    LeaseLostError,
    job_beat,
    job_finish,
    job_hold,
    job_release,
    jobs_deliver,
)
from logs.people.locks import lock_log
from logs.people.models import Club, Membership
from logs.people.services.memberships import membership_changed
from logs.people.sight import coached_club_get
from logs.solves.models.solves import Sighting, Solve
from logs.solves.selectors.solves import is_relabelled
from logs.solves.services.labels import (
    LABEL_FIELDS,
    TEXT_FIELDS,
    TURN_FIELDS,
    build_sightings,
    result_with_marks,
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
        .only("member_id", "penalty", "mark_ms", "time_ms", *TURN_FIELDS, *LABEL_FIELDS)
    )
    refused = _fill_turns(
        [one for one in solves if one.scramble_turns is None or one.place is None]
    )
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
            yield solve, own, result_with_marks(result, parse_mark_ms(solve.mark_ms), solve.time_ms)


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


PART = 20_000
"""Solves of one part: some tens of seconds of work, so that workers end at nearly the same time."""


JOB_BATCH = 500
"""Solves of a transaction."""


logger = logging.getLogger(__name__)


@transaction.atomic
def relabel_start(
    *,
    now: datetime,
    club: Club | None = None,
    member: User | None = None,
    part_solves: int = PART,
) -> Job | None:
    """Have solves be labelled anew: of a club's members, of one member, or of everybody.

    A relabelling of the same that still goes on is stopped: it may have passed solves already by
    the book of before.

    Returns:
        The first of its parts, which stands for them all; None when there is no solve.
    """
    old = Job.objects.filter(kind=JobKind.RELABEL, club=club, member=member, part_of=None)
    Job.objects.filter(Q(pk__in=old) | Q(part_of__in=old), status__in=ACTIVE).update(
        status=JobStatus.CANCELLED, token="", lease_until=None, ended_at=now
    )
    first: Job | None = None
    ids: list[int] = []
    before = 0
    while part := list(
        _solves(club, member)
        .filter(pk__gt=before)
        .order_by("pk")
        .values_list("pk", flat=True)[:part_solves]
    ):
        job = Job.objects.create(
            kind=JobKind.RELABEL,
            club=club,
            member=member,
            part_of=first,
            at_solve=before,
            last_solve=part[-1],
            n_total=len(part),
            made_at=now,
        )
        first = first or job
        ids.append(job.pk)
        before = part[-1]
    jobs_deliver(ids, now=now)
    return first


def relabel_start_if_behind(*, member: User, now: datetime) -> Job | None:
    """`relabel_start` for a member whose solves are not all labelled by their book as it stands."""
    version = book_of_member(member=member).version
    is_behind = Solve.objects.filter(member=member).exclude(book_version=version).exists()
    return relabel_start(member=member, now=now) if is_behind else None


def listen() -> None:
    """Label a member's solves anew after they joined or left a club with another book."""
    membership_changed.connect(_relabel_member, dispatch_uid="relabel_member")


def _relabel_member(*, member: User, now: datetime, **_: object) -> None:
    relabel_start_if_behind(member=member, now=now)


def relabel_run(lease: Lease, *, is_stopping: Callable[[], bool]) -> None:
    """Label what is left of the range of a held job, and end the job.

    Raises:
        LeaseLostError: The job was cancelled, taken by another or erased.
    """
    job = Job.objects.select_related("club", "member").filter(pk=lease.job_id).first()
    if job is None:
        raise LeaseLostError
    solves = _solves(job.club, job.member).filter(pk__lte=job.last_solve).order_by("pk")
    while ids := list(solves.filter(pk__gt=job.at_solve).values_list("pk", flat=True)[:JOB_BATCH]):
        if is_stopping():
            job_release(lease)
            return
        with transaction.atomic():
            done = relabel_batch(ids)
            for solve_id in done.refused:
                logger.warning("solve %s: the engine takes it no longer; labels kept", solve_id)
            job = job_hold(lease)
            job.at_solve = ids[-1]
            job.n_read += len(ids)
            job.n_changed += done.n_changed
            job.n_refused += len(done.refused)
            job_beat(job, "at_solve", "n_read", "n_changed", "n_refused", now=timezone.now())
        if connection.vendor == "sqlite":
            time.sleep(PAUSE_S)
    job_finish(lease, now=timezone.now())


def _solves(club: Club | None, member: User | None) -> QuerySet[Solve]:
    if member is not None:
        return Solve.objects.filter(member=member)
    if club is not None:
        return Solve.objects.filter(member__in=Membership.objects.filter(club=club).values("user"))
    return Solve.objects.all()


RELABEL_LIMIT = 1_000
"""Solves that are labelled anew while the coach waits; above it a worker does it."""


def club_relabel(*, actor: User, slug: str, now: datetime, is_book_new: bool = False) -> bool:
    """Make the labels of all the club's members anew by their books, or leave it to a worker.

    Nothing is begun where none is behind, or where it goes on already, unless ``is_book_new``: what
    goes on may have passed solves by the book of before, so it is begun again.

    Returns:
        Whether it is done; else it goes on behind the request.

    Raises:
        NotFoundError: The club is not the actor's to coach.
    """
    club = coached_club_get(actor=actor, slug=slug)
    goes_on = is_being_relabelled(club=club)
    if goes_on and not is_book_new:
        return False
    if not goes_on and is_relabelled(actor=actor, club=club):
        return True
    members = list(Membership.objects.filter(club=club).values_list("user", flat=True))
    if Solve.objects.filter(member__in=members)[RELABEL_LIMIT : RELABEL_LIMIT + 1].exists():
        relabel_start(club=club, now=now)
        return False
    solve_relabel(member_ids=members)
    return True
